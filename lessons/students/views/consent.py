"""A guardian reads, gives and withdraws consent; a coach records it from paper."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from lessons.students.consents import (
    consent_text,
    give_consent,
    record_paper_consent,
    withdraw_consent,
)
from lessons.students.forms import PaperConsentForm, WithdrawalForm
from lessons.students.models import Guardian
from lessons.students.views.loading import guardian_of_coach


def _own(request: HttpRequest, pk: int) -> Guardian:
    guardians = Guardian.objects.visible_to(request.user).select_related("student__coach", "user")
    return get_object_or_404(guardians.filter(user=request.user), pk=pk)


@require_http_methods(["GET", "POST"])
def consent(request: HttpRequest, pk: int) -> HttpResponse:
    """What is filmed, who sees it, how long it is kept; agreeing takes a tick and a button."""
    guardian = _own(request, pk)
    text = consent_text(guardian)
    wrong = ""
    if request.method == "POST":
        if not guardian.student.is_junior:
            raise Http404
        if request.POST.get("text", "").split() != text.split():
            wrong = "The text has changed since you opened this page. Read it again, please."
        elif not request.POST.get("agreed"):
            wrong = "Tick that you have read it and that you agree."
        else:
            give_consent(guardian, request.user, text)
            messages.success(request, f"Thank you. {guardian.student.coach} may film from now on.")
            return redirect("students:consent", pk)
    values = {
        "guardian": guardian,
        "student": guardian.student,
        "text": text,
        "wrong": wrong,
        "history": guardian.history.all(),
    }
    return render(request, "students/consent.html", values, status=422 if wrong else 200)


@require_POST
def withdraw_own(request: HttpRequest, pk: int) -> HttpResponse:
    """The guardian takes their consent back."""
    guardian = _own(request, pk)
    form = WithdrawalForm(request.POST)
    note = form.cleaned_data["note"] if form.is_valid() else request.POST["note"][:300]
    if withdraw_consent(guardian, request.user, note):
        messages.success(
            request, f"Withdrawn. {guardian.student.coach} is told, and no clip is taken any more."
        )
    return redirect("students:consent", pk)


@require_http_methods(["GET", "POST"])
def paper(request: HttpRequest, pk: int) -> HttpResponse:
    """The coach records a consent signed on paper."""
    guardian = guardian_of_coach(request, pk)
    form = PaperConsentForm(request.POST or None)
    if form.is_valid():
        record_paper_consent(guardian, request.user, **form.cleaned_data)
        messages.success(request, f"The consent of {guardian.name} is on record.")
        return redirect("students:student", guardian.student_id)
    values = {"form": form, "guardian": guardian, "student": guardian.student}
    return render(request, "students/paper.html", values, status=422 if form.errors else 200)


@require_POST
def record_withdrawal(request: HttpRequest, pk: int) -> HttpResponse:
    """The coach was told by word of mouth or on paper that a consent no longer holds."""
    guardian = guardian_of_coach(request, pk)
    if withdraw_consent(guardian, request.user, f"recorded by {request.user.name}"):
        messages.success(request, "Recorded. No clip is taken until a new consent is given.")
    return redirect("students:student", guardian.student_id)
