"""What is done to a lesson."""

from __future__ import annotations

import datetime

from django.db import transaction
from django.db.models import Max

from lessons.students.models import Student
from lessons.visits.models import Lesson

USUAL_GAP = datetime.timedelta(days=28)


def add_lesson(
    student: Student, *, date: datetime.date, theme: str, next_visit: datetime.date | None
) -> Lesson:
    """Add a lesson with the student's next number. Two at once get two numbers."""
    with transaction.atomic():
        # PostgreSQL waits here for another one's commit; SQLite's immediate transactions
        # have already waited at their beginning
        Student.objects.select_for_update().get(pk=student.pk)
        last = student.lessons.aggregate(last=Max("number"))["last"] or 0
        return Lesson.objects.create(
            student=student, number=last + 1, date=date, theme=theme, next_visit=next_visit
        )


def usual_dates(student: Student, today: datetime.date) -> dict[str, datetime.date]:
    """What a new lesson's form starts with: today, and the next visit as far off as last time."""
    before = student.lessons.filter(next_visit__isnull=False).order_by("-number").first()
    gap = before.next_visit - before.date if before and before.next_visit else USUAL_GAP
    return {"date": today, "next_visit": today + gap}
