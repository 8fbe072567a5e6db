"""What a question is about: the lesson's recap, a still or a drill of it.

A page names it in one word: `recap`, `still-12`, `drill-3`.
"""

from __future__ import annotations

from dataclasses import dataclass

from lessons.clips.alike import numbered
from lessons.clips.models import Still
from lessons.drills.models import Assignment
from lessons.questions.models import Thread
from lessons.recaps.models import Recap
from lessons.recaps.reading import shown_stills
from lessons.visits.models import Lesson
from portal.accounts.models import User


@dataclass(frozen=True)
class Subject:
    """One thing of a lesson that can be asked about."""

    lesson: Lesson
    still: Still | None = None
    given: Assignment | None = None
    number: int = 0  # of several pictures with one name

    @property
    def kind(self) -> Thread.About:
        if self.still:
            return Thread.About.STILL
        return Thread.About.DRILL if self.given else Thread.About.RECAP

    @property
    def name(self) -> str:
        """The word by which a page names it."""
        if self.still:
            return f"still-{self.still.pk}"
        return f"drill-{self.given.pk}" if self.given else "recap"

    @property
    def words(self) -> str:
        if self.still:
            number = f" ({self.number})" if self.number else ""
            return f"Picture: {self.still.title}, {self.still.clip.part} of the lesson{number}"
        return f"Drill: {self.given.name}" if self.given else "The lesson"


def subject_named(user: User, lesson: Lesson, name: str) -> Subject | None:
    """The thing of the lesson that a page named, as far as the user sees it; else None."""
    kind, _, key = name.partition("-")
    if kind == "recap" and not key:
        return Subject(lesson)
    if not key.isdecimal() or len(key) > 18:
        return None
    if kind == "still":
        stills = Still.objects.visible_to(user).filter(clip__lesson=lesson)
        still = stills.select_related("clip", "mark_set").filter(pk=key).first()
        return Subject(lesson, still=still) if still else None
    if kind == "drill":
        given = lesson.assignments.holding().filter(pk=key).first()
        return Subject(lesson, given=given) if given else None
    return None


def subjects_of(lesson: Lesson) -> list[Subject]:
    """What the lesson's page shows and can be asked about, the whole lesson first."""
    recap = Recap.objects.filter(lesson=lesson).first()
    stills = [shown.still for shown in shown_stills(recap)] if recap else []
    return [
        Subject(lesson),
        *(Subject(lesson, given=given) for given in lesson.assignments.holding()),
        *_pictures(lesson, stills),
    ]


def _pictures(lesson: Lesson, stills: list[Still]) -> list[Subject]:
    """Stills of one name in one part of the lesson are told apart by number, in their order."""
    numbers = numbered([(still.title, still.clip.part) for still in stills])
    return [
        Subject(lesson, still=still, number=number)
        for still, number in zip(stills, numbers, strict=True)
    ]
