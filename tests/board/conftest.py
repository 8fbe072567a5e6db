"""A lesson some days ago, and practice of it, for the pages of the board."""

from __future__ import annotations

import datetime

from django.utils import timezone

from lessons.recaps.models import Seen
from lessons.students.models import Student
from lessons.visits.models import Lesson
from tests import factories


def ago(days: int) -> datetime.date:
    return timezone.localdate() - datetime.timedelta(days)


def taught(student: Student, days_ago: int, *, seen: bool = True, **fields: object) -> Lesson:
    """A lesson some days ago, posted on the day, with two drills."""
    lesson = factories.LessonFactory(
        student=student,
        date=ago(days_ago),
        posted_at=timezone.now() - datetime.timedelta(days_ago),
        **fields,
    )
    for name in ("sway gate", "feet together"):
        given = factories.AssignmentFactory(lesson=lesson, name=name)
        type(given).objects.filter(pk=given.pk).update(created_at=lesson.posted_at)
    recap = factories.RecapFactory(lesson=lesson)
    if seen:
        Seen.objects.create(recap=recap, user=student.user)
    return lesson


def practised(lesson: Lesson, name: str, *days_ago: int, **fields: object) -> None:
    for days in days_ago:
        assignment = lesson.assignments.get(name=name)
        factories.LogFactory(assignment=assignment, day=ago(days), **fields)
