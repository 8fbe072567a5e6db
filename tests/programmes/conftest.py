"""A programme with three posted lessons."""

from __future__ import annotations

import datetime

import pytest
from django.utils import timezone

from lessons.programmes.models import Aim, Programme
from lessons.students.models import Student
from lessons.visits.models import Lesson
from tests import factories


def day(days_ago: int) -> datetime.date:
    return timezone.localdate() - datetime.timedelta(days_ago)


@pytest.fixture
def programme(student: Student) -> Programme:
    made = Programme.objects.create(
        student=student, title="Six lessons", lessons_planned=6, begins_on=day(70)
    )
    Aim.objects.create(programme=made, words="Start lines within ten metres")
    return made


def lesson_of(student: Student, days_ago: int, **fields: object) -> Lesson:
    """A lesson posted on its day, with a recap."""
    posted = timezone.now() - datetime.timedelta(days_ago)
    lesson = factories.LessonFactory(
        student=student, date=day(days_ago), **{"posted_at": posted, **fields}
    )
    factories.RecapFactory(lesson=lesson, main_point=f"Point of lesson {lesson.number}")
    return lesson
