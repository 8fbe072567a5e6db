"""From rows to the plain values that lessons.practice.share counts with."""

from __future__ import annotations

import datetime
from collections import defaultdict
from collections.abc import Iterable

from django.utils import timezone

from lessons.drills.models import Assignment
from lessons.practice.models import Log, Rest
from lessons.practice.plan import Dose
from lessons.practice.share import Done, Given, Pause
from lessons.students.models import Student
from lessons.visits.models import Lesson


def given_of(assignment: Assignment, lesson: Lesson, zone: datetime.tzinfo) -> Given:
    """When a drill was given and until when it is asked, in days of the student's time zone.

    Given on the lesson's day, or when the student could first read it if that was later: the day
    the lesson was posted or the drill was added. Asked until the next visit or its removal.
    """
    moments = [assignment.created_at, *([lesson.posted_at] if lesson.posted_at else [])]
    given_on = max(lesson.date, *(timezone.localdate(moment, zone) for moment in moments))
    ends = [lesson.next_visit] if lesson.next_visit else []
    if assignment.removed_at:
        ends.append(timezone.localdate(assignment.removed_at, zone))
    return Given(assignment.pk, assignment.days_a_week, given_on, min(ends, default=None))


def logs_done(logs: Iterable[Log]) -> list[Done]:
    return [Done(log.assignment_id, log.day, log.percent) for log in logs]


def dose_of(assignment: Assignment, lesson: Lesson, zone: datetime.tzinfo) -> Dose:
    given = given_of(assignment, lesson, zone)
    return Dose(given, assignment.sets, assignment.reps, assignment.minutes)


def pauses_of(students: Iterable[Student]) -> dict[int, list[Pause]]:
    """The days of rest of each student, by their key; one query for all of them."""
    pauses: dict[int, list[Pause]] = defaultdict(list)
    for rest in Rest.objects.standing().filter(student__in=students):
        pauses[rest.student_id].append(Pause(rest.first, rest.last))
    return pauses
