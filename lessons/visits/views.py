"""Adding and editing a lesson, and its desk."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from lessons.students.models import Student
from lessons.visits.desk import opening_page
from lessons.visits.forms import LessonForm
from lessons.visits.models import Lesson
from lessons.visits.service import add_lesson, usual_dates


@require_http_methods(["GET", "HEAD", "POST"])
def add(request: HttpRequest, pk: int) -> HttpResponse:
    """A new lesson of a student; leads to its desk."""
    student = get_object_or_404(Student.objects.filter(coach=request.user).current(), pk=pk)
    usual = usual_dates(student, timezone.localdate())
    form = LessonForm(request.POST or None, initial=usual)
    if form.is_valid():
        lesson = add_lesson(student, **form.cleaned_data)
        return redirect("visits:desk", lesson.pk)
    return render(
        request,
        "visits/add.html",
        {"form": form, "student": student},
        status=422 if form.is_bound else 200,
    )


@require_http_methods(["GET", "HEAD", "POST"])
def edit(request: HttpRequest, pk: int) -> HttpResponse:
    """The date, theme and next visit of a lesson."""
    lesson = get_object_or_404(Lesson.objects.led_by(request.user).select_related("student"), pk=pk)
    form = LessonForm(request.POST or None, instance=lesson)
    if form.is_valid():
        form.save()
        messages.success(request, "Saved.")
        return redirect("visits:desk", lesson.pk)
    return render(
        request,
        "visits/edit.html",
        {"form": form, "lesson": lesson, "student": lesson.student},
        status=422 if form.is_bound else 200,
    )


@require_safe
def desk(request: HttpRequest, pk: int) -> HttpResponse:
    """The lesson's desk, opened."""
    lesson = get_object_or_404(Lesson.objects.led_by(request.user).select_related("student"), pk=pk)
    return opening_page(request, lesson)
