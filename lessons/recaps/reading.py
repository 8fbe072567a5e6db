"""What the student's lesson page shows."""

from __future__ import annotations

from django.db.models import Q

from lessons.clips.models import Clip, Still
from lessons.marks.service import SIGHT
from lessons.recaps.cards import cards
from lessons.recaps.models import Recap, RecapStillQuerySet
from lessons.visits.models import Lesson


def reading_context(lesson: Lesson, recap: Recap | None) -> dict[str, object]:
    """Everything on the page but what other rooms fill in; a lesson may have no recap."""
    others = Lesson.objects.filter(student=lesson.student).posted().select_related("recap")
    later = Q(date__gt=lesson.date) | Q(date=lesson.date, number__gt=lesson.number)
    clips = lesson.clips.current()
    return {
        "lesson": lesson,
        "student": lesson.student,
        "recap": recap,
        "findings": recap.findings.exclude(what="") if recap else [],
        "cards": cards(shown_stills(recap)) if recap else [],
        "clips": sorted(clips.ready(), key=by_part),
        "preparing": clips.filter(state__in=[Clip.State.RECEIVED, Clip.State.PREPARING]).count(),
        "earlier": others.exclude(later).exclude(pk=lesson.pk),
        "newest": others.filter(later).first(),
    }


def shown_stills(recap: Recap) -> RecapStillQuerySet:
    """The stills to look at: not removed, and not failed."""
    stills = recap.stills.current().exclude(still__state=Still.State.FAILED)
    return stills.select_related(*(f"still__{related}" for related in SIGHT))


def by_part(clip: Clip) -> int:
    """Start, middle, end: as the lesson went."""
    return ["start", "middle", "end"].index(clip.part)
