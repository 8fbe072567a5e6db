"""What the pages of pairings show, on the desk and in the recap."""

from __future__ import annotations

import json
from typing import Any

from django.db.models import QuerySet
from django.http import HttpRequest
from django.utils import timezone

from lessons.clips.models import Clip, Cut, Position
from lessons.clips.shelf import UNDO_FOR
from lessons.pairings.drawings import drawings_of
from lessons.pairings.forms import ChoiceForm, FilmForm
from lessons.pairings.models import FEWEST, MOST, Pairing, SavedPairing
from lessons.pairings.offering import Offer, origin
from lessons.pairings.settings import kept_settings
from lessons.pairings.sides import Side, sides_of
from lessons.visits.models import Lesson
from portal.work.models import waiting_for


def desk_context(request: HttpRequest, lesson: Lesson) -> dict[str, object]:
    """The part of the page being written: the lesson's pairings, and what is saved of them."""
    current = lesson.pairings.current().prefetch_related("sides__clip__lesson")
    return {
        "pairings": [(pairing, titles(pairing)) for pairing in current],
        "removed": removed_from(lesson),
    }


def removed_from(lesson: Lesson) -> QuerySet[Pairing]:
    """What was removed a moment ago, to bring it back."""
    return lesson.pairings.filter(removed_at__gt=timezone.now() - UNDO_FOR)


def titles(pairing: Pairing) -> str:
    """Which swings a pairing lays side by side."""
    return " and ".join(origin(side.clip, short=True) for side in pairing.sides.all())


def read_context(request: HttpRequest, lesson: Lesson) -> dict[str, object]:
    """What the student reads: the saved pictures and films that were put in the recap."""
    seen = SavedPairing.objects.visible_to(request.user)  # type: ignore[arg-type]
    shown = list(seen.in_recap_of(lesson))
    return {"shown": shown, "has_measure": any(row.has_measure for row in shown)}


def choice_context(lesson: Lesson, offered: list[Offer], form: ChoiceForm) -> dict[str, Any]:
    """The swings to choose from, lesson by lesson."""
    groups: dict[str, list[Offer]] = {}
    for offer in offered:
        clip = offer.clip
        day = "This lesson" if clip.lesson_id == lesson.pk else origin(clip).split(",")[0]
        groups.setdefault(day if clip.lesson else "Check-ins", []).append(offer)
    chosen = form.data.getlist("swings") if form.is_bound else []
    return {
        "groups": groups.items(),
        "form": form,
        "chosen": set(chosen),
        "fewest": FEWEST,
        "most": MOST,
        "enough": len(offered) >= FEWEST,
        "removed": removed_from(lesson),
    }


def pairing_context(request: HttpRequest, pairing: Pairing) -> dict[str, Any]:
    """All that the stage shows of a pairing."""
    sides = sides_of(pairing)
    known = set.intersection(*(set(side.times) for side in sides)) if sides else set()
    return {
        "pairing": pairing,
        "sides": [(side, drawings_of(side)) for side in sides],
        "enough": len(sides) >= FEWEST,
        "gone": removed_clips(pairing),
        "known": known,
        "positions": Position.choices,
        "views": len({side.clip.view for side in sides}),
        "guesses": any(position.is_guess for side in sides for position in side.positions),
        "has_marks": any(side.stills for side in sides),
        "pairing_json": json.dumps(as_json(pairing, sides)),
        "film_form": FilmForm(pairing=pairing),
        **cuts_context(pairing, sides),
        **saved_context(pairing),
    }


def removed_clips(pairing: Pairing) -> list[tuple[Clip, str]]:
    """The clips of a pairing that were removed, and where they come from."""
    rows = pairing.sides.filter(clip__removed_at__isnull=False).select_related("clip__lesson")
    return [(row.clip, origin(row.clip, short=True)) for row in rows]


def as_json(pairing: Pairing, sides: list[Side]) -> dict[str, Any]:
    """What static/pairings/beside.js works with: what can be changed, and what is given."""
    return {
        **kept_settings(pairing, sides),
        "sides": {
            str(side.row.pk): {
                "positions": side.times,
                "span_us": side.span_us,
                "slowdown": side.clip.slowdown,
                "duration_us": side.clip.duration_us,
                "width_px": side.clip.width_px,
                "height_px": side.clip.height_px,
            }
            for side in sides
        },
    }


def cuts_context(pairing: Pairing, sides: list[Side] | None = None) -> dict[str, Any]:
    """The parts of each clip that have every frame."""
    sides = sides_of(pairing) if sides is None else sides
    cuts = Cut.objects.filter(clip__in={side.clip.pk for side in sides})
    by_clip: dict[int, list[Cut]] = {}
    for cut in cuts:
        by_clip.setdefault(cut.clip_id, []).append(cut)
    shown = [(side, by_clip.get(side.clip.pk, [])) for side in sides]
    here = [(side, cut) for side, there in shown for cut in there if cut.holds(side.aligned_us)]
    return {
        "pairing": pairing,
        "cuts": shown,
        "cuts_waiting": any(cut.in_flight for _, cut in here),
        "cuts_wait_because": waiting_for(cut for _, cut in here),
        "cuts_failed": [(side, cut) for side, cut in here if cut.is_failed],
    }


def saved_context(pairing: Pairing) -> dict[str, Any]:
    """The pictures and films of a pairing, the newest first, and those removed a moment ago."""
    rows = list(pairing.saved.current().order_by("-created_at"))
    return {
        "pairing": pairing,
        "lesson": pairing.lesson,
        "saved": rows,
        "saved_removed": pairing.saved.filter(removed_at__gt=timezone.now() - UNDO_FOR),
    }
