"""How far a followed patch drifted: sideways and up or down, position by position.

Drift is the way of the patch's middle from its place at P1. In centimetres where a length is
known in the clip, else in shares of the box's width.

Its plus-or-minus has two sources, first order: the two places are off by E0 and E pixels
(`media_tools.follow.Path.error_px`), sqrt(E0^2 + E^2); and the scale by its share of the drift.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from lessons.clips.positions import SwingPosition
from lessons.marks.measures import rounded
from lessons.marks.sight import Sight
from lessons.paths.went import Place, Went

UP = ("up", "down")
NEAR = 1 / 3  # of the time between two positions, that counts as near one
# Of the frames up to impact: found in fewer, the largest may well lie where nothing is known, and
# none is told
LEAST_SHARE = 0.5


@dataclass(frozen=True)
class Unit:
    """What a pixel is worth: centimetres, with the share by which that is off, or box widths."""

    per_px: float
    share: float
    name: str  # 'cm' or '%'

    @classmethod
    def of_box(cls, width_px: float) -> Unit:
        return cls(100 / width_px, 0.0, "%")


@dataclass(frozen=True)
class Amount:
    """A drift along one direction: above zero it goes the first of `ways`."""

    value: float
    error: float
    unit: str
    ways: tuple[str, str]

    @property
    def is_clear(self) -> bool:
        """Whether it is more than its plus-or-minus."""
        return abs(self.value) > self.error

    @property
    def way(self) -> str:
        return (self.ways[0] if self.value > 0 else self.ways[1]) if self.is_clear else ""

    @property
    def short(self) -> str:
        """'4.1 ±0.6 cm', '18 ±3 %'."""
        value, error = rounded(abs(self.value), self.error, self.unit)
        return f"{value} ±{error} {self.unit}"

    @property
    def sentence(self) -> str:
        """'4.1 ±0.6 cm toward the target'; what is not clear claims no direction."""
        return f"{self.short} {self.way}" if self.way else f"{self.short}, within the error"


@dataclass(frozen=True)
class At:
    """The drift at one position; None where the patch was not found there."""

    position: SwingPosition
    sideways: Amount | None
    rise: Amount | None


@dataclass(frozen=True)
class Largest:
    """The largest drift along one direction, and when."""

    amount: Amount
    place: Place
    where: str  # 'near P4', 'between P1 and P2'; '' where no positions are known


@dataclass(frozen=True)
class Wall:
    """A line at the patch's edge as it stood at P1, on the side to which it drifted the most.

    at_px: its column (upright) or row (level). first_us, most_us: when the edge first and most
    went beyond it; None where it never clearly did.
    """

    is_upright: bool
    at_px: float
    beyond_px: float
    first_us: int | None
    largest: Largest


@dataclass(frozen=True)
class Drift:
    origin: Place
    origin_words: str
    at: tuple[At, ...]
    sideways: Largest | None  # None where most of what counts was not found
    rise: Largest | None
    walls: tuple[Wall, ...]
    ways: tuple[str, str]  # what sideways is called
    unit: str
    until: str  # 'P7', or '' for the whole path
    share: float  # found, of the frames that count for the largest drift

    @property
    def is_whole(self) -> bool:
        return self.share == 1

    @property
    def is_mostly_lost(self) -> bool:
        return self.share < LEAST_SHARE


def drift_of(
    went: Went,
    positions: Sequence[SwingPosition],
    sight: Sight,
    size_px: tuple[float, float],
    unit: Unit | None = None,
) -> Drift | None:
    """The drift of a path; None where it was found in no frame.

    size_px: the box's width and height.
    """
    there = went.there
    if not there:
        return None
    unit = unit or Unit.of_box(size_px[0])
    when = {p.position: p.time_us for p in positions}
    address = went.at(when["P1"]) if "P1" in when else None
    origin = address or there[0]

    def amount(px: float, place: Place, ways: tuple[str, str]) -> Amount:
        value, off = px * unit.per_px, _off_px(origin, place) * unit.per_px
        return Amount(value, math.hypot(off, value * unit.share), unit.name, ways)

    def sideways(place: Place) -> Amount:
        return amount(sight.side * (place.x - origin.x), place, sight.ways)

    def rise(place: Place) -> Amount:
        return amount(origin.y - place.y, place, UP)

    begin_us = when.get("P1", there[0].time_us)
    end_us = when.get("P7", there[-1].time_us)
    share = went.share(begin_us, end_us)
    counted = [place for place in there if begin_us <= place.time_us <= end_us]
    far = high = None
    walls: tuple[Wall, ...] = ()
    if counted and share >= LEAST_SHARE:
        far = _largest(counted, lambda place: abs(place.x - origin.x), sideways, positions)
        high = _largest(counted, lambda place: abs(place.y - origin.y), rise, positions)
        walls = (
            _wall(counted, origin, far, size_px[0], is_upright=True),
            _wall(counted, origin, high, size_px[1], is_upright=False),
        )
    return Drift(
        origin=origin,
        origin_words="P1" if address else "where it was first found",
        at=tuple(
            At(p, sideways(place) if place else None, rise(place) if place else None)
            for p, place in ((p, went.at(p.time_us)) for p in positions)
        ),
        sideways=far,
        rise=high,
        walls=walls,
        ways=sight.ways,
        unit=unit.name,
        until="P7" if "P7" in when else "",
        share=share,
    )


def _off_px(origin: Place, place: Place) -> float:
    """How far off a drift is by its two places."""
    return math.hypot(origin.error_px, place.error_px)


def _largest(
    places: Sequence[Place],
    how_far: Callable[[Place], float],
    amount: Callable[[Place], Amount],
    positions: Sequence[SwingPosition],
) -> Largest:
    place = max(places, key=how_far)
    return Largest(amount(place), place, _where(place.time_us, positions))


def _where(time_us: int, positions: Sequence[SwingPosition]) -> str:
    """Where in the swing a moment is, by the positions round it."""
    before = next((p for p in reversed(positions) if p.time_us <= time_us), None)
    after = next((p for p in positions if p.time_us >= time_us), None)
    if before is None or after is None:
        only = before or after
        return f"near {only.position}" if only else ""
    share = (time_us - before.time_us) / max(1, after.time_us - before.time_us)
    if NEAR < share < 1 - NEAR:
        return f"between {before.position} and {after.position}"
    return f"near {(before if share <= NEAR else after).position}"


def _wall(
    places: Sequence[Place],
    origin: Place,
    largest: Largest,
    side_px: float,
    *,
    is_upright: bool,
) -> Wall:
    def along(place: Place) -> float:
        return place.x if is_upright else place.y

    start = along(origin)
    toward = 1 if along(largest.place) >= start else -1
    beyond = [
        place.time_us
        for place in places
        if toward * (along(place) - start) > _off_px(origin, place)
    ]
    return Wall(
        is_upright=is_upright,
        at_px=start + toward * side_px * origin.scale / 2,
        beyond_px=along(largest.place) - start,
        first_us=beyond[0] if beyond else None,
        largest=largest,
    )
