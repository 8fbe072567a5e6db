"""What stands on the stage when a clip is looked at."""

from __future__ import annotations

from django.http import HttpRequest
from django.utils import timezone

from lessons.clips.forms import POSITIONS, ClipForm
from lessons.clips.models import Clip
from lessons.clips.shelf import CLUBS, UNDO_FOR, first_to_look_at
from lessons.visits.models import Lesson


def stage_context(
    request: HttpRequest, clip: Clip, form: ClipForm | None = None
) -> dict[str, object]:
    """The player's clip, its stills, and for its coach the means to change it."""
    leads = clip.coach == request.user
    context: dict[str, object] = {"clip": clip, "leads": leads}
    if leads:
        context |= {
            "form": form or ClipForm(instance=clip),
            "clubs": CLUBS,
            "positions": POSITIONS,
            **stills_context(request, clip),
        }
    return context


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
