"""What stands on the stage when a clip is looked at."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Exists, OuterRef, Subquery
from django.http import HttpRequest
from django.utils import timezone

from lessons.clips.forms import POSITIONS, ClipForm, RateForm
from lessons.clips.models import Clip, PlacedPosition, Still, Swing, SwingChange, SwingSearch
from lessons.clips.positions import SwingPosition, positions_of
from lessons.clips.shelf import CLUBS, UNDO_FOR, first_to_look_at
from lessons.clips.tempo import looks_slow, tempo_of
from lessons.clips.uses import uses_of
from lessons.visits.models import Lesson
from media_tools.swings import Tempo
from portal.work.models import waiting_for


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
            "removing": uses_of(clip) if "removing" in request.GET else [],
            **stills_context(request, clip),
        }
    return context


@dataclass(frozen=True)
class ShownPlace:
    """A position of a swing as it stands on the stage; `found` is None where nothing says when."""

    value: str
    label: str
    found: SwingPosition | None

    @property
    def state(self) -> str:
        if self.found is None:
            return "unknown"
        if self.found.is_placed:
            return "placed"
        return "guess" if self.found.is_guess else "found"


@dataclass(frozen=True)
class ShownSwing:
    """A swing as it stands on the stage, and the latest change to it in words."""

    number: int
    swing: Swing
    tempo: Tempo | None
    places: list[ShownPlace]
    undoes: str | None

    @property
    def unknown(self) -> list[str]:
        """The positions that nothing is proposed for."""
        return [place.value for place in self.places if place.found is None]

    @property
    def needed(self) -> list[str]:
        """What has to be placed, so that the others can be proposed."""
        return [value for value in ("P4", "P7") if value in self.unknown]

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
            _places(swing),
            swing.undoes,
        )
        for number, swing in enumerate(current, 1)
    ]
    return {
        "swings": swings,
        "search": search,
        "cuts": cuts,
        "waits_because": waiting_for([*cuts, search] if search else cuts),
        "swings_in_flight": any(cut.in_flight for cut in cuts)
        or (search is not None and search.in_flight),
        "swings_removed": clip.swings.filter(removed_at__gt=timezone.now() - UNDO_FOR),
    }


def _places(swing: Swing) -> list[ShownPlace]:
    found = {here.position: here for here in positions_of(swing)}
    return [ShownPlace(value, label, found.get(value)) for value, label in POSITIONS]


def stills_context(request: HttpRequest, clip: Clip) -> dict[str, object]:
    """A clip's stills in order of time, and those removed a moment ago."""
    placed = PlacedPosition.objects.filter(swing=OuterRef("swing"), position=OuterRef("position"))
    stills = list(clip.stills.current().annotate(is_placed=Exists(placed)))
    return {
        "stills": stills,
        "left_behind": _left_behind(clip, stills),
        "stills_wait_because": waiting_for(stills),
        "stills_in_flight": any(still.in_flight for still in stills),
        "stills_removed": clip.stills.filter(
            removed_at__gt=timezone.now() - UNDO_FOR, is_retired=False
        ),
    }


def _left_behind(clip: Clip, stills: list[Still]) -> set[int]:
    """The keys of stills that stay because they are used, though their position has moved."""
    named: dict[tuple[int, str], list[Still]] = {}
    for still in stills:
        if still.swing_id and still.position and not still.caption:
            named.setdefault((still.swing_id, still.position), []).append(still)
    doubled = {key: several for key, several in named.items() if len(several) > 1}
    swings = clip.swings.filter(pk__in={pk for pk, _ in doubled}).prefetch_related("placed")
    found = {
        (swing.pk, here.position): here.time_us for swing in swings for here in positions_of(swing)
    }
    left = set()
    for key, several in doubled.items():
        # A frame is shown until the next begins: the last that has begun is the position's
        begun = [still for still in several if still.time_us <= found.get(key, 0)]
        now = max(begun or several, key=lambda still: still.time_us)
        left |= {still.pk for still in several if still.pk != now.pk}
    return left


def opening(request: HttpRequest, lesson: Lesson) -> tuple[str, dict[str, object]] | None:
    """The first clip of a lesson that can be looked at."""
    clip = first_to_look_at(lesson)
    return ("clips/_stage.html", stage_context(request, clip)) if clip else None
