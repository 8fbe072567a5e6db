"""Logging practice from the student's lesson page: a partial for htmx, a redirect without it."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from lessons.drills.models import Assignment
from lessons.practice.forms import MoreForm, TapForm
from lessons.practice.models import Log
from lessons.practice.pages import lesson_practice, may_log
from lessons.practice.service import NotTakenError, log_practice, say_more, today_of, undo_log

TAKEN, REFUSED, INVALID = 200, 409, 422


@require_POST
def log(request: HttpRequest, pk: int) -> HttpResponse:
    """'Done today', 'I did it yesterday', 'I did it again'."""
    assignment = given_or_404(request, pk)
    form = TapForm(request.POST)
    if not form.is_valid():
        return answer(request, assignment, trouble=first_error(form), status=INVALID)
    try:
        log_practice(
            assignment,
            request.user,
            form.day(today_of(assignment.lesson.student)),
            client_id=form.cleaned_data["client_id"],
            again=form.cleaned_data["again"],
        )
    except NotTakenError as reason:
        return answer(request, assignment, trouble=str(reason), status=REFUSED)
    return answer(request, assignment)


@require_POST
def more(request: HttpRequest, pk: int) -> HttpResponse:
    """'Say more' about a log."""
    entry = log_or_404(request, pk)
    form = MoreForm(entry, request.POST)
    if not form.is_valid():
        return answer(request, entry.assignment, refused=form, status=INVALID)
    say_more(
        entry,
        form.amount,
        felt=form.cleaned_data["felt"],
        note=form.cleaned_data["note"],
        hurt=form.cleaned_data["hurt"],
    )
    return answer(request, entry.assignment)


@require_POST
def undo(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a log back. A second tap finds it taken back and shows the same."""
    entry = log_or_404(request, pk)
    undo_log(entry)
    return answer(request, entry.assignment)


def given_or_404(request: HttpRequest, pk: int) -> Assignment:
    """A drill given to the person, or to a junior of theirs. The coach reads but does not log."""
    if not may_log(request.user):
        raise Http404
    visible = Assignment.objects.visible_to(request.user)
    return get_object_or_404(visible.select_related("lesson__student__user"), pk=pk)


def log_or_404(request: HttpRequest, pk: int) -> Log:
    if not may_log(request.user):
        raise Http404
    visible = Log.objects.visible_to(request.user)
    return get_object_or_404(visible.select_related("assignment__lesson__student__user"), pk=pk)


def first_error(form: TapForm) -> str:
    return next(iter(form.errors.values()))[0]


def answer(
    request: HttpRequest,
    assignment: Assignment,
    *,
    refused: MoreForm | None = None,
    trouble: str = "",
    status: int = TAKEN,
) -> HttpResponse:
    """The drill as it is now and the ruler; without htmx its page, or the form with errors."""
    lesson = assignment.lesson
    practice = lesson_practice(lesson, request.user, refused, trouble)
    drill = next((d for d in practice.drills if d.assignment == assignment), None)
    context = {"practice": practice, "drill": drill, "lesson": lesson, "trouble": trouble}
    if request.htmx:
        # What was tapped is gone from the page: the focus goes to what stands there now
        context["focus"] = status == TAKEN
        return render(request, "practice/_answer.html", context, status=status)
    if refused is not None:
        return render(request, "practice/more.html", context, status=status)
    if trouble:
        messages.error(request, trouble)
    if request.POST.get("from") == "today":
        return redirect(f"{reverse('practice:today')}?student={lesson.student_id}")
    return redirect(reverse("recaps:read", args=[lesson.pk]) + f"#given-{assignment.pk}")
