"""One student, as their coach sees them."""

from __future__ import annotations

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from lessons.students.forms import GuardianForm, StudentForm
from lessons.students.inviting import latest_invitation, withdraw_invitation
from lessons.students.models import Student
from lessons.students.views.loading import coach_only, student_of_coach


@require_safe
def student(request: HttpRequest, pk: int) -> HttpResponse:
    """Cautions first, then lessons; beside them aims, guardians and the way in."""
    found = student_of_coach(request, pk)
    guardians = [
        (guardian, latest_invitation(guardian), list(guardian.history.all()))
        for guardian in found.guardians.select_related("user").order_by("pk")
    ]
    values = {
        "student": found,
        "guardians": guardians,
        "invitation": latest_invitation(found),
        "lessons": found.lessons.all(),
    }
    return render(request, "students/student.html", values)


@require_http_methods(["GET", "POST"])
def add(request: HttpRequest) -> HttpResponse:
    """A new student; a guardian can be written down in the same go."""
    coach_only(request)
    form = StudentForm(request.POST or None, instance=Student(coach=request.user))
    wanted = bool(request.POST.get("guardian-name") or request.POST.get("guardian-email"))
    guardian = GuardianForm(
        request.POST if wanted else None, student=form.instance, prefix="guardian"
    )
    guardian.use_required_attribute = False
    right = [form.is_valid(), not wanted or guardian.is_valid()]
    if request.method == "POST" and all(right):
        with transaction.atomic():
            made = form.save()
            if wanted:
                guardian.instance.student = made
                guardian.save()
        messages.success(request, f"{made.name} is among your students.")
        return redirect("students:student", made.pk)
    values = {"form": form, "guardian_form": guardian}
    return render(request, "students/edit.html", values, status=422 if form.errors else 200)


@require_http_methods(["GET", "POST"])
def edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change what is written down about a student."""
    found = student_of_coach(request, pk)
    form = StudentForm(request.POST or None, instance=found)
    if form.is_valid():
        if "email" in form.changed_data:
            withdraw_invitation(found)
        form.save()
        messages.success(request, "Saved.")
        return redirect("students:student", pk)
    values = {"form": form, "student": Student.objects.get(pk=pk)}
    return render(request, "students/edit.html", values, status=422 if form.errors else 200)


@require_POST
def archive(request: HttpRequest, pk: int) -> HttpResponse:
    """Put a student aside, or bring them back."""
    found = student_of_coach(request, pk)
    if request.POST.get("back"):
        found.bring_back()
        messages.success(request, f"{found.name} is among your students again.")
        return redirect("students:student", pk)
    found.archive()
    messages.success(request, f"{found.name} is put aside. Nothing is deleted.")
    return redirect("students:list")
