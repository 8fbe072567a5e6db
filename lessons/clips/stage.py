"""What stands on the stage when a clip is looked at."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Exists, OuterRef, Subquery
from django.http import HttpRequest
from django.utils import timezone

from lessons.clips.forms import POSITIONS, ClipForm, RateForm
from lessons.clips.models import Clip, PlacedPosition, Swing, SwingChange, SwingSearch
from lessons.clips.positions import SwingPosition, positions_of
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
class ShownPlace:
    """A position of a swing as it stands on the stage; `found` is None where nothing says when."""

    value: str
    label: str
    found: SwingPosition | None
    slowdown: float

    @property
    def state(self) -> str:
        if self.found is None:
            return ""
        if self.found.is_placed:
            return "placed"
        return "guess" if self.found.is_guess else "found"

    @property
    def ms(self) -> int:
        """In real time."""
        return round(self.found.time_us / 1000 / self.slowdown) if self.found else 0


@dataclass(frozen=True)
class ShownSwing:
    """A swing as it stands on the stage, and the latest change to it in words."""

    number: int
    swing: Swing
    tempo: Tempo | None
    places: list[ShownPlace]
    undoes: str | None

    @property
    def is_slow(self) -> bool:
        return looks_slow(self.tempo)


def swings_context(request: HttpRequest, clip: Clip) -> dict[str, object]:
    """A clip's swings in order of time, its cuts, and how far the workers are with both."""
    search = SwingSearch.objects.filter(clip=clip).first()
    cuts = list(clip.cuts.all())
    latest = SwingChange.objects.filter(swing=OuterRef("pk")).order_by("-pk").values("words")[:1]
    current = clip.swings.current().prefetch_related("placed").annotate(undoes=Subquery(latest))
    swings = [
        ShownSwing(
            number,
            swing,
            tempo_of(swing, clip.slowdown),
            _places(swing, clip.slowdown),
            swing.undoes,
        )
        for number, swing in enumerate(current, 1)
    ]
    return {
        "swings": swings,
        "search": search,
        "cuts": cuts,
        "swings_in_flight": any(cut.in_flight for cut in cuts)
        or (search is not None and search.in_flight),
        "swings_removed": clip.swings.filter(removed_at__gt=timezone.now() - UNDO_FOR),
    }


def _places(swing: Swing, slowdown: float) -> list[ShownPlace]:
    found = {here.position: here for here in positions_of(swing)}
    return [ShownPlace(value, label, found.get(value), slowdown) for value, label in POSITIONS]


def stills_context(request: HttpRequest, clip: Clip) -> dict[str, object]:
    """A clip's stills in order of time, and those removed a moment ago."""
    placed = PlacedPosition.objects.filter(swing=OuterRef("swing"), position=OuterRef("position"))
    stills = list(clip.stills.current().annotate(is_placed=Exists(placed)))
    return {
        "stills": stills,
        "stills_in_flight": any(still.in_flight for still in stills),
        "stills_removed": clip.stills.filter(
            removed_at__gt=timezone.now() - UNDO_FOR, is_retired=False
        ),
    }


def opening(request: HttpRequest, lesson: Lesson) -> tuple[str, dict[str, object]] | None:
    """The first clip of a lesson that can be looked at."""
    clip = first_to_look_at(lesson)
    return ("clips/_stage.html", stage_context(request, clip)) if clip else None
