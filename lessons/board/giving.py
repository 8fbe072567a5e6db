"""Giving the same drills or note to several students at once, who gets what, and groups."""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.db import transaction
from django.db.models import F, Max
from django.utils import timezone

from lessons.board.models import StudentGroup
from lessons.board.nudging import addressees, send_nudge, why_nobody
from lessons.drills.models import Assignment, Drill
from lessons.practice.service import today_of
from lessons.recaps.models import Recap
from lessons.students.models import Student
from lessons.visits.models import Lesson
from portal.accounts.models import User

USUAL_NOTE = "There is something new on your list to practise."


@dataclass(frozen=True)
class Giving:
    """What one student gets: drills that are new to their lesson, and a letter or none.

    `has` are drills they have already; `why_none` says why no drill can be given, `why_silent`
    why no letter can be sent.
    """

    student: Student
    lesson: Lesson | None
    drills: tuple[Drill, ...]
    has: tuple[Drill, ...]
    why_none: str = ""
    why_silent: str = ""
    note: str = ""

    @property
    def writes(self) -> bool:
        """A letter goes out: there is a note or a drill to tell of, and somebody to tell."""
        return not self.why_silent and bool(self.note or self.drills)

    @property
    def is_anything(self) -> bool:
        return self.writes or bool(self.drills)


def look(students: Iterable[Student], drills: Sequence[Drill], note: str) -> list[Giving]:
    """Who would get what, before anything is done."""
    students = list(students)
    lessons: dict[int, Lesson] = {}
    for lesson in Lesson.objects.posted().filter(student__in=students):
        lessons.setdefault(lesson.student_id, lesson)
    held: dict[int, set[int | None]] = {}
    for given in Assignment.objects.holding().filter(lesson__in=lessons.values()):
        held.setdefault(given.lesson_id, set()).add(given.drill_id)
    return [one_giving(one, lessons.get(one.pk), held, drills, note) for one in students]


def one_giving(
    student: Student,
    lesson: Lesson | None,
    held: dict[int, set[int | None]],
    drills: Sequence[Drill],
    note: str,
) -> Giving:
    why_none = why_no_drills(student, lesson) if drills else ""
    has = held.get(lesson.pk, set()) if lesson else set()
    return Giving(
        student=student,
        lesson=lesson,
        drills=() if why_none else tuple(drill for drill in drills if drill.pk not in has),
        has=() if why_none else tuple(drill for drill in drills if drill.pk in has),
        why_none=why_none,
        why_silent="" if addressees(student) else why_nobody(student),
        note=note,
    )


def why_no_drills(student: Student, lesson: Lesson | None) -> str:
    """Why no drill can be given to a student now, as a sentence; empty if it can."""
    if lesson is None:
        return "No lesson is posted yet that a drill could belong to."
    if lesson.next_visit is not None and lesson.next_visit < today_of(student):
        return "The next visit is over. Add the new lesson, or move the date."
    return ""


def give(
    coach: User, students: Iterable[Student], drills: Sequence[Drill], note: str, key: uuid.UUID
) -> list[Giving]:
    """Give the drills and send the note, a student at a time; the same `key` twice gives once.

    Each student gets copies of the drills as they stand now, at the end of their list.
    """
    givings = look(students, drills, note)
    for giving in givings:
        with transaction.atomic():
            if giving.lesson and giving.drills:
                give_drills(giving.lesson, giving.drills, key)
            if giving.writes:
                send_nudge(
                    giving.student,
                    coach,
                    note or USUAL_NOTE,
                    key=key,
                    again=True,
                    drills=[f"{drill.name}: {drill.dose}" for drill in giving.drills],
                )
    return givings


@transaction.atomic
def keep_group(
    coach: User, name: str, students: Iterable[Student], drills: Iterable[Drill]
) -> StudentGroup:
    """Keep students and drills under a name; the same name again takes the new ones."""
    group, _ = StudentGroup.objects.get_or_create(coach=coach, name=name)
    group.students.set(students)
    group.drills.set(drills)
    return group


def give_drills(lesson: Lesson, drills: Iterable[Drill], key: uuid.UUID) -> None:
    """The copies. A recap page that is open elsewhere learns that there is something newer."""
    last = lesson.assignments.aggregate(last=Max("order"))["last"] or 0
    made = 0
    for place, drill in enumerate(drills, start=last + 1):
        own = uuid.uuid5(key, str(drill.pk))
        if not lesson.assignments.filter(key=own).exists():
            Assignment.of(drill, lesson=lesson, key=own, order=place).save()
            made += 1
    if made:
        now = timezone.now()
        Recap.objects.filter(lesson=lesson).update(
            version=F("version") + 1, changed_at=now, edited_at=now, told_at=now
        )
