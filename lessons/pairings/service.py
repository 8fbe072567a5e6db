"""What a coach does with pairings."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from typing import Any

from django.db import transaction
from django.utils import timezone

from lessons.clips.models import Position
from lessons.pairings.models import FEWEST, Pairing, PairingSide, SavedPairing
from lessons.pairings.offering import Offer
from lessons.pairings.recipe import recipe_of
from lessons.pairings.sides import AROUND_US, Side, sides_of, want_cuts
from lessons.visits.models import Lesson, Part
from media_tools.beside import Pause, Warp
from portal.work.sending import send

LONGEST_FILM_S = 120


class NotPossible(Exception):
    """What was asked can't be done; says why, in words for the coach."""


def begin_pairing(lesson: Lesson, chosen: Sequence[Offer]) -> Pairing:
    """Lay swings side by side, the earliest first, lined up at impact.

    Every frame around it is asked for.
    """
    with transaction.atomic():
        pairing = Pairing.objects.create(lesson=lesson)
        for order, offer in enumerate(sorted(chosen, key=_when)):
            PairingSide.objects.create(
                pairing=pairing, order=order, clip=offer.clip, swing=offer.swing
            )
        want_cuts(sides_of(pairing))
    return pairing


def _when(offer: Offer) -> tuple[datetime.date, int, int]:
    """When a swing was made: its day, the part of the lesson, its place in the clip."""
    clip, swing = offer.clip, offer.swing
    day = clip.lesson.date if clip.lesson else timezone.localdate(clip.created_at)
    return day, list(Part).index(Part(clip.part)), swing.begin_us if swing else 0


def save_picture(pairing: Pairing, clock_us: int) -> SavedPairing:
    """Ask for a picture of the pairing as it is at a moment of its clock."""
    sides = enough_sides(pairing)
    words = _position_at(pairing, sides, clock_us)
    return _save(
        pairing, sides, SavedPairing.Kind.PICTURE, begin_us=clock_us, end_us=clock_us, words=words
    )


def save_film(pairing: Pairing, speed: float, pauses: Sequence[str], hold_s: float) -> SavedPairing:
    """Ask for a film of the pairing's swings from begin to finish, standing still at positions."""
    sides = enough_sides(pairing)
    begin_us, end_us = span_of(sides, recipe_of(pairing, sides).warps)
    known = clocks_of(pairing, sides)
    missing = [position for position in pauses if position not in known]
    if missing:
        raise NotPossible(
            f"It is not known where {' and '.join(missing)} is in the first swing. "
            "Place it in the clip, or leave the pause out."
        )
    length_s = (end_us - begin_us) / 1e6 / speed + len(pauses) * hold_s
    if length_s > LONGEST_FILM_S:
        raise NotPossible(
            f"This film would last {length_s:.0f} seconds; {LONGEST_FILM_S} is the most. "
            "Take a higher speed, or mark the swing in its clip."
        )
    stops = tuple(
        Pause(known[position], round(hold_s * 1e6), Position(position).label) for position in pauses
    )
    return _save(
        pairing,
        sides,
        SavedPairing.Kind.FILM,
        begin_us=begin_us,
        end_us=end_us,
        speed=speed,
        pauses=stops,
    )


def make_again(saved: SavedPairing) -> bool:
    """Send a failed or cancelled picture or film to a worker anew; False where that can't help."""
    with transaction.atomic():
        if not saved.begin_anew():
            return False
        send(saved)
    return True


def enough_sides(pairing: Pairing) -> list[Side]:
    """The pairing's swings; NotPossible where clips were removed and one is left."""
    sides = sides_of(pairing)
    if len(sides) < FEWEST:
        raise NotPossible("A clip of this pairing was removed. Bring it back, then save again.")
    return sides


def clocks_of(pairing: Pairing, sides: Sequence[Side]) -> dict[str, int]:
    """When each position of the first swing is, on the pairing's clock; 0 where all line up."""
    first = recipe_of(pairing, list(sides)).warps[0]
    clocks = {position: first.clock_us(time_us) for position, time_us in sides[0].times.items()}
    return {**clocks, pairing.at: 0}


def span_of(sides: Sequence[Side], warps: Sequence[Warp]) -> tuple[int, int]:
    """From the earliest begin to the latest finish of all swings, and a little around, of clock."""
    spans = [
        (warp.clock_us(side.span_us[0]), warp.clock_us(side.span_us[1]))
        for side, warp in zip(sides, warps, strict=True)
    ]
    begin, end = min(begin for begin, _ in spans), max(end for _, end in spans)
    return begin - AROUND_US, end + AROUND_US


def _position_at(pairing: Pairing, sides: Sequence[Side], clock_us: int) -> str:
    """What to call a moment: the position that is there, to within a frame; else nothing."""
    near_us = max(1_000, sides[0].clip.frame_us / sides[0].clip.slowdown)
    clocks = clocks_of(pairing, sides).items()
    found = [(abs(at - clock_us), position) for position, at in clocks]
    off, position = min(found)
    return str(Position(position).label) if off < near_us else ""


def _save(pairing: Pairing, sides: list[Side], kind: str, **film: Any) -> SavedPairing:
    recipe = recipe_of(pairing, sides, **film)
    with transaction.atomic():
        saved = SavedPairing.objects.create(pairing=pairing, kind=kind, recipe=recipe.as_json())
        send(saved)
    return saved
