"""Guardians of a student, as the coach writes them down."""

from __future__ import annotations

from django.contrib import messages
from django.db.models import ProtectedError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from lessons.students.forms import GuardianForm
from lessons.students.inviting import withdraw_invitation
from lessons.students.views.loading import guardian_of_coach, student_of_coach


@require_http_methods(["GET", "POST"])
def add_guardian(request: HttpRequest, pk: int) -> HttpResponse:
    """Write a guardian down."""
    student = student_of_coach(request, pk)
    form = GuardianForm(request.POST or None, student=student)
    if form.is_valid():
        form.save()
        messages.success(request, f"{form.instance.name} is written down as guardian.")
        return redirect("students:student", pk)
    values = {"form": form, "student": student}
    return render(request, "students/guardian.html", values, status=422 if form.errors else 200)


@require_http_methods(["GET", "POST"])
def edit_guardian(request: HttpRequest, pk: int) -> HttpResponse:
    """Mend a name or an address; a changed address makes an open invitation worthless."""
    guardian = guardian_of_coach(request, pk)
    form = GuardianForm(request.POST or None, instance=guardian, student=guardian.student)
    if form.is_valid():
        if "email" in form.changed_data:
            withdraw_invitation(guardian)
        form.save()
        messages.success(request, "Saved.")
        return redirect("students:student", guardian.student_id)
    values = {"form": form, "student": guardian.student, "guardian": guardian}
    return render(request, "students/guardian.html", values, status=422 if form.errors else 200)


@require_POST
def remove_guardian(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a guardian away who never gave consent; with a consent on record they stay."""
    guardian = guardian_of_coach(request, pk)
    withdraw_invitation(guardian)
    try:
        guardian.delete()
    except ProtectedError:
        messages.error(
            request, f"{guardian.name} stays: what they consented to must be kept on record."
        )
    else:
        messages.success(request, f"{guardian.name} is no longer written down as guardian.")
    return redirect("students:student", guardian.student_id)
