"""Which swings can be laid side by side: all of the lesson's student."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from django.db.models import Prefetch, Q, QuerySet
from django.utils import timezone
from django.utils.dateformat import format as date_format

from lessons.clips.models import Clip, Swing
from lessons.students.models import Student
from lessons.visits.models import Lesson

# Rooms above add clips of a student that belong to no lesson, e.g. those of check-ins
ALSO_OFFERED: list[Callable[[Student], Q]] = []
MOST_CLIPS = 40


@dataclass(frozen=True)
class Offer:
    """One swing to choose, or a clip without one; `key` is what a form sends."""

    clip: Clip
    swing: Swing | None
    number: int = 0
    count: int = 0

    @property
    def key(self) -> str:
        return f"swing-{self.swing.pk}" if self.swing else f"clip-{self.clip.pk}"

    @property
    def words(self) -> str:
        """What tells it from the other swings of its clip."""
        if self.swing is None:
            return "no swing marked"
        practice = ", practice" if self.swing.is_practice else ""
        kept = ", kept" if self.swing.is_kept and self.count > 1 else ""
        return f"swing {self.number} of {self.count}{practice}{kept}" if self.count > 1 else ""


def clips_of(lesson: Lesson) -> QuerySet[Clip]:
    """The ready clips of the lesson's student: all lessons', and what rooms above add."""
    student = lesson.student
    found = Q(lesson__student=student)
    for also in ALSO_OFFERED:
        found |= also(student)
    return (
        Clip.objects.filter(found, coach=student.coach_id)
        .current()
        .ready()
        .select_related("lesson")
        .distinct()
    )


def offers(lesson: Lesson) -> list[Offer]:
    """What can be laid side by side in a lesson: its own clips first, then the newest."""
    swings = Prefetch("swings", Swing.objects.current(), to_attr="current_swings")
    clips = clips_of(lesson).prefetch_related(swings).order_by("-created_at")[:MOST_CLIPS]
    found: list[Offer] = []
    for clip in sorted(clips, key=lambda clip: clip.lesson_id != lesson.pk):
        count = len(clip.current_swings)
        found += [Offer(clip, swing, n, count) for n, swing in enumerate(clip.current_swings, 1)]
        if not count:
            found.append(Offer(clip, None))
    return found


def short_origin(clip: Clip, number: int = 0, *, with_year: bool = False) -> str:
    """The same in a few letters, what tells clips apart first: 'Start, 12 Mar', 'End 2, 4 May'."""
    count = f" {number}" if number else ""
    what = clip.get_part_display() if clip.lesson else "Check-in"
    when = clip.lesson.date if clip.lesson else timezone.localtime(clip.created_at)
    return f"{what}{count}, {date_format(when, 'j M Y' if with_year else 'j M')}"


def origin(clip: Clip, *, short: bool = False) -> str:
    """Where a clip comes from: '12 March, start', or 'Check-in, 20 March'."""
    if clip.lesson is None:
        return f"Check-in, {date_format(clip.created_at, 'j F')}"
    day = date_format(clip.lesson.date, "j F" if short else "j F Y")
    return f"{day}, {clip.get_part_display().lower()}"
