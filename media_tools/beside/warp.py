"""Which moment of each swing is shown at a moment of the clock they share. Pure.

Either all run in real time from where they are lined up, or *by position*: time is stretched
piecewise linearly so that each position of every swing falls on the same moment of the clock,
which then is the first swing's real time.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class Placed:
    """One swing: where it is lined up and where its positions are.

    Times are whole microseconds of its clip's clock; `slowdown` is how many times slower than
    life the clip is stored.
    """

    aligned_us: int
    positions: Mapping[str, int]
    slowdown: float = 1.0


@dataclass(frozen=True)
class Warp:
    """The way from the shared clock to one clip's time.

    `knots` are pairs (clock, clip) in whole microseconds, both rising, one at least. Between two
    the way is straight; before the first and after the last, `slope` microseconds of the clip
    pass for each of the clock.
    """

    knots: tuple[tuple[int, int], ...]
    slope: float

    def clip_us(self, clock_us: float) -> int:
        """The clip's time at a moment of the clock, to the nearest microsecond."""
        after = bisect_right(self.knots, clock_us, key=lambda knot: knot[0])
        return _nearest(self._along(after, clock_us, 0, 1))

    def clock_us(self, clip_us: float) -> int:
        """The moment of the clock at which a time of the clip is reached."""
        after = bisect_right(self.knots, clip_us, key=lambda knot: knot[1])
        return _nearest(self._along(after, clip_us, 1, 0))

    def _along(self, after: int, value: float, given: int, wanted: int) -> float:
        if 0 < after < len(self.knots):
            before, behind = self.knots[after - 1], self.knots[after]
            rise = (behind[wanted] - before[wanted]) / (behind[given] - before[given])
        else:
            before = self.knots[max(0, after - 1)]
            rise = self.slope if given == 0 else 1 / self.slope
        return before[wanted] + (value - before[given]) * rise


def warps(swings: Sequence[Placed], at: str, *, by_position: bool) -> list[Warp]:
    """The warp of each swing; the clock is 0 where they are lined up, at position `at`.

    By position needs another position than `at` that all have in order; without one they run in
    real time. Positions that some of them lack are passed over, and so is one that does not lie
    on its side of the moment at which a swing was lined up by hand.
    """
    if not by_position or not swings:
        return [Warp(((0, swing.aligned_us),), swing.slowdown) for swing in swings]
    common = _common(swings, at)
    first = swings[0]
    clocks = [_nearest((row[0] - first.aligned_us) / first.slowdown) for row in common]
    return [
        Warp(
            tuple((clock, row[place]) for clock, row in zip(clocks, common, strict=True)),
            swing.slowdown,
        )
        for place, swing in enumerate(swings)
    ]


def _common(swings: Sequence[Placed], at: str) -> list[list[int]]:
    """For each position that all have, in order, its time in each swing; rising in every one."""
    aligned = [swing.aligned_us for swing in swings]
    # A clock of whole microseconds must rise too, however fast the clip was filmed
    least = max(1.0, swings[0].slowdown)

    def follows(row: list[int], before: list[int]) -> bool:
        rises = all(t > last for t, last in zip(row, before, strict=True))
        return rises and row[0] - before[0] >= least

    shared = set.intersection(*(set(swing.positions) for swing in swings)) - {at}
    rows = sorted([swing.positions[name] for swing in swings] for name in shared)
    found: list[list[int]] = []
    for row in (
        *(row for row in rows if follows(aligned, row)),
        aligned,
        *(row for row in rows if follows(row, aligned)),
    ):
        if not found or follows(row, found[-1]):
            found.append(row)
    return found


def _nearest(value: float) -> int:
    """The nearest whole number, halves upward, as JavaScript's Math.round does."""
    return math.floor(value + 0.5)
