"""Where the trade's ten swing positions are likely to be in time.

P1 address, P4 top, P7 impact and P10 finish are a swing's begin, top, strike and finish. The
others are guessed from where they usually fall between those four, until a person says better.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

POSITIONS = ("P1", "P2", "P3", "P4", "P5", "P6", "P7", "P8", "P9", "P10")


class Origin(StrEnum):
    """Where a position's time comes from.

    FOUND: one of the swing's own four moments. PLACED: a person said so. USUAL: guessed from the
    usual proportion. BETWEEN: guessed too, and its proportion is not measured but interpolated.
    """

    FOUND = "found"
    PLACED = "placed"
    USUAL = "usual"
    BETWEEN = "between"


@dataclass(frozen=True, slots=True)
class Proposal:
    """When a position is, in microseconds of the clock of the moments it was made from."""

    time_us: int
    origin: Origin

    @property
    def is_guess(self) -> bool:
        """Whether it is no more than the usual proportion."""
        return self.origin in {Origin.USUAL, Origin.BETWEEN}


# How far a swing has come at each position: 0 at P1, 1 at P4, 2 at P7, 3 at P10. The thousandths
# between are medians of 642 slow-motion clips, computed from the event labels of GolfDB
# (McNally et al., CVPR Workshops 2019, arXiv 1903.06528): P2 and P3 of P1..P4, P5 of P4..P7, P8 of
# P7..P10. P6 and P9 are not labelled there. P6 is set half way from P5 to P7; P9 as long after P8
# as P8 comes after P7: the same pace on both sides of the ball. Neither has a source.
USUALLY = {
    "P1": 0.0,
    "P2": 0.495,
    "P3": 0.683,
    "P4": 1.0,
    "P5": 1.562,
    "P6": (1.562 + 2.0) / 2,
    "P7": 2.0,
    "P8": 2.119,
    "P9": 2.0 + 2 * 0.119,
    "P10": 3.0,
}
INTERPOLATED = frozenset({"P6", "P9"})
# P10 comes this many downswings after P7: quartiles of the same clips. A finish found by motion
# may be earlier (the arms slow down) or later (the club is lowered), and misleads P8 and P9.
FOLLOW_THROUGH = (2.16, 2.89)
_ENDS = (0.0, 1.0, 2.0, 3.0)


def proposed(
    begin_us: int,
    top_us: int | None,
    strike_us: int | None,
    finish_us: int,
    placed: Mapping[str, int] | None = None,
) -> dict[str, Proposal]:
    """The positions of a swing that can be said, in order.

    Times are microseconds of any one clock; `placed` gives the times of positions that a person
    has set, which win over all else. A guess lies between the nearest known positions before and
    after it, as it usually does between those two; between the ends of a backswing, a downswing
    or a follow-through only, so a swing without a top or a strike (a practice swing) has no
    guesses where the proportion is not known. Where nobody has placed P10, the guesses after
    impact go by a follow-through as long as usual, so that a finish found early or late does not
    mislead them. Raises ValueError for a position that is none, and where the known times do not
    follow each other.
    """
    known = {
        name: Proposal(time_us, Origin.FOUND)
        for name, time_us in (
            ("P1", begin_us),
            ("P4", top_us),
            ("P7", strike_us),
            ("P10", finish_us),
        )
        if time_us is not None
    }
    for name, time_us in (placed or {}).items():
        if name not in USUALLY:
            raise ValueError(f"positions run from P1 to P10, {name!r} is none")
        known[name] = Proposal(time_us, Origin.PLACED)
    order = [name for name in POSITIONS if name in known]
    times = [known[name].time_us for name in order]
    if times != sorted(set(times)):
        raise ValueError(f"positions follow each other in time, but {order} are at {times} us")
    usual = [*times[:-1], _usual_finish_us(known)]
    guesses = _guesses(order, usual)
    late = any(guess.time_us >= times[-1] for guess in guesses.values())
    # nor does the usual one help where a position was placed after it
    if late or usual != sorted(set(usual)):
        guesses = _guesses(order, times)
    return {name: (known | guesses)[name] for name in POSITIONS if name in known | guesses}


def _usual_finish_us(known: Mapping[str, Proposal]) -> int:
    """P10 where it was placed; else as found, but not sooner or later than it usually comes."""
    finish = known["P10"]
    if finish.origin == Origin.PLACED or not {"P4", "P7"} <= known.keys():
        return finish.time_us
    strike_us = known["P7"].time_us
    down_us = strike_us - known["P4"].time_us
    soonest, latest = (round(strike_us + share * down_us) for share in FOLLOW_THROUGH)
    return min(max(finish.time_us, soonest), latest)


def _guesses(order: list[str], times: list[int]) -> dict[str, Proposal]:
    """The others, each between the nearest known ones if both are of its stretch of the swing."""
    shares = [USUALLY[name] for name in order]
    found = {}
    for name in POSITIONS:
        share = USUALLY[name]
        after = bisect_left(shares, share)
        if name in order or not 0 < after < len(order):
            continue
        before, stretch = after - 1, bisect_left(_ENDS, share)
        if shares[before] < _ENDS[stretch - 1] or shares[after] > _ENDS[stretch]:
            continue
        part = (share - shares[before]) / (shares[after] - shares[before])
        time_us = round(times[before] + part * (times[after] - times[before]))
        origin = Origin.BETWEEN if name in INTERPOLATED else Origin.USUAL
        found[name] = Proposal(time_us, origin)
    return found
