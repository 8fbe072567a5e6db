"""Today's page: what to do now, the minutes there are for it, reminders, and days of rest."""

from __future__ import annotations

import time

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from lessons.practice.forms import MinutesForm, ReminderForm, RestForm
from lessons.practice.models import Reminder
from lessons.practice.pages import may_log
from lessons.practice.reminding import (
    InQuietHoursError,
    set_reminder,
    stop_reminder,
    why_silent,
)
from lessons.practice.service import end_rest, mark_rest, set_minutes, today_of
from lessons.practice.today import newest_lesson, todays_page
from lessons.practice.who import who_of
from lessons.students.models import Student

INVALID = 422


@require_safe
def today(request: HttpRequest) -> HttpResponse:
    """Today of the student; a guardian of several chooses with `?student=`."""
    students = own_students(request)
    chosen = request.GET.get("student", "")
    student = next((one for one in students if str(one.pk) == chosen), None)
    if chosen and student is None:
        raise Http404
    return page(request, student or (students[0] if students else None))


@require_POST
def minutes(request: HttpRequest, pk: int) -> HttpResponse:
    """'I have about 20 minutes on practice days.'"""
    student = student_or_404(request, pk)
    form = MinutesForm(request.POST)
    if not form.is_valid():
        return page(request, student, minutes_form=form)
    set_minutes(student, form.cleaned_data["minutes"])
    return back_to(student)


@require_POST
def remind(request: HttpRequest, pk: int) -> HttpResponse:
    """'Remind me at 18:00 on days with practice', or not any more."""
    student = student_or_404(request, pk)
    if "stop" in request.POST:
        stop_reminder(student, request.user)
        return back_to(student)
    form = ReminderForm(request.POST)
    if form.is_valid():
        try:
            set_reminder(student, request.user, form.cleaned_data["at"], timezone.now())
        except InQuietHoursError as reason:
            form.add_error("at", str(reason))
        else:
            return back_to(student)
    return page(request, student, reminder_form=form)


@require_POST
def rest(request: HttpRequest, pk: int) -> HttpResponse:
    """'I am hurt or resting until ...'"""
    student = student_or_404(request, pk)
    form = RestForm(today_of(student), request.POST)
    if not form.is_valid():
        return page(request, student, rest_form=form)
    mark_rest(student, request.user, form.cleaned_data["why"], form.cleaned_data["until"])
    return back_to(student)


@require_POST
def back(request: HttpRequest, pk: int) -> HttpResponse:
    """'I am back': the rest ends; a second tap changes nothing."""
    student = student_or_404(request, pk)
    if end_rest(student):
        messages.success(request, "Good to have you back. Begin gently.")
    return back_to(student)


def own_students(request: HttpRequest) -> list[Student]:
    """Whose practice the person logs; a coach has another page."""
    if not may_log(request.user):
        raise Http404
    visible = Student.objects.visible_to(request.user)
    return list(visible.select_related("user", "coach", "practice_time"))


def student_or_404(request: HttpRequest, pk: int) -> Student:
    if not may_log(request.user):
        raise Http404
    return get_object_or_404(Student.objects.visible_to(request.user), pk=pk)


def back_to(student: Student) -> HttpResponse:
    return redirect(f"{reverse('practice:today')}?student={student.pk}")


def page(
    request: HttpRequest,
    student: Student | None,
    *,
    minutes_form: MinutesForm | None = None,
    reminder_form: ReminderForm | None = None,
    rest_form: RestForm | None = None,
) -> HttpResponse:
    """Today's page; with a form that was refused, its words and its message."""
    lesson = newest_lesson(student, request.user) if student else None
    context: dict[str, object] = {
        "student": student,
        "students": own_students(request),
        "who": who_of(request.user),
        "made": time.time(),
    }
    if student and lesson:
        shown = todays_page(lesson, request.user)
        today = shown.practice.today
        mine = Reminder.objects.visible_to(request.user).select_related("user")
        reminder = mine.filter(student=student).first()
        context |= {
            "today": shown,
            "lesson": lesson,
            "practice": shown.practice,
            "minutes_form": minutes_form or MinutesForm(initial={"minutes": shown.minutes}),
            "reminder": reminder,
            "why_silent": why_silent(reminder) if reminder else "",
            "reminder_form": reminder_form
            or ReminderForm(initial={"at": reminder.at if reminder else None}),
            "rest_form": rest_form or RestForm(today),
        }
    status = INVALID if minutes_form or reminder_form or rest_form else 200
    return render(request, "practice/today.html", context, status=status)
