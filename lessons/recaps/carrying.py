"""A lesson's recap when it is first wanted: what is still open comes over from the last lesson."""

from __future__ import annotations

from django.db import transaction
from django.db.models import Q

from lessons.recaps.models import Finding, Recap
from lessons.visits.models import Lesson


def lesson_before(lesson: Lesson) -> Lesson | None:
    """The student's lesson before this one, by date and then by number."""
    earlier = Q(date__lt=lesson.date) | Q(date=lesson.date, number__lt=lesson.number)
    return lesson.student.lessons.filter(earlier).first()


def recap_of(lesson: Lesson) -> Recap:
    """The lesson's recap; made now if it is the first time, with the findings still open.

    A finding that was new then is being worked on now; the others stand as they stood.
    """
    with transaction.atomic():
        recap, is_new = Recap.objects.get_or_create(lesson=lesson)
        before = lesson_before(lesson) if is_new else None
        if before is not None:
            standing_open = Finding.objects.filter(recap__lesson=before).still_open()
            Finding.objects.bulk_create(carried(finding, recap) for finding in standing_open)
    return recap


def carried(finding: Finding, recap: Recap) -> Finding:
    """The finding as it starts in the next recap, not yet saved."""
    was_new = finding.standing == Finding.Standing.NEW
    return Finding(
        recap=recap,
        what=finding.what,
        why=finding.why,
        ball=finding.ball,
        standing=Finding.Standing.WORKING if was_new else finding.standing,
        order=finding.order,
        came_from=finding,
    )
