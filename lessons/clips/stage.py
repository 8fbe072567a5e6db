"""What stands on the stage when a clip is looked at."""

from __future__ import annotations

from dataclasses import dataclass

from django.http import HttpRequest
from django.utils import timezone

from lessons.clips.forms import POSITIONS, ClipForm, RateForm
from lessons.clips.models import Clip, Swing, SwingSearch
from lessons.clips.shelf import CLUBS, UNDO_FOR, first_to_look_at
from lessons.clips.tempo import looks_slow, tempo_of
from lessons.visits.models import Lesson
from media_tools.swings import Tempo


def stage_context(
    request: HttpRequest, clip: Clip, form: ClipForm | None = None
) -> dict[str, object]:
    """The player's clip, its stills, and for its coach the means to change it."""
    leads = clip.coach == request.user
    context: dict[str, object] = {"clip": clip, "leads": leads}
    if clip.is_ready:
        context |= swings_context(request, clip)
    if leads:
        context |= {
            "form": form or ClipForm(instance=clip),
            "rate_form": RateForm(instance=clip),
            "clubs": CLUBS,
            "positions": POSITIONS,
            **stills_context(request, clip),
        }
    return context


@dataclass(frozen=True)
class ShownSwing:
    """A swing as it stands on the stage."""

    number: int
    swing: Swing
    tempo: Tempo | None

    @property
    def is_slow(self) -> bool:
        return looks_slow(self.tempo)


def swings_context(request: HttpRequest, clip: Clip) -> dict[str, object]:
    """A clip's swings in order of time, its cuts, and how far the workers are with both."""
    search = SwingSearch.objects.filter(clip=clip).first()
    cuts = list(clip.cuts.all())
    swings = [
        ShownSwing(number, swing, tempo_of(swing, clip.slowdown))
        for number, swing in enumerate(clip.swings.current(), 1)
    ]
    return {
        "swings": swings,
        "search": search,
        "cuts": cuts,
        "swings_in_flight": any(cut.in_flight for cut in cuts)
        or (search is not None and search.in_flight),
        "swings_removed": clip.swings.filter(removed_at__gt=timezone.now() - UNDO_FOR),
    }


def stills_context(request: HttpRequest, clip: Clip) -> dict[str, object]:
    """A clip's stills in order of time, and those removed a moment ago."""
    stills = list(clip.stills.current())
    return {
        "stills": stills,
        "stills_in_flight": any(still.in_flight for still in stills),
        "stills_removed": clip.stills.filter(removed_at__gt=timezone.now() - UNDO_FOR),
    }


def opening(request: HttpRequest, lesson: Lesson) -> tuple[str, dict[str, object]] | None:
    """The first clip of a lesson that can be looked at."""
    clip = first_to_look_at(lesson)
    return ("clips/_stage.html", stage_context(request, clip)) if clip else None
