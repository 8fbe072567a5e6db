"""The tempo of a swing and how sure it is."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt
from typing import Protocol


class Timed(Protocol):
    """Anything with the three moments of a swing, in microseconds of played time."""

    @property
    def begin_us(self) -> int: ...
    @property
    def top_us(self) -> int | None: ...
    @property
    def strike_us(self) -> int | None: ...


@dataclass(frozen=True)
class Tempo:
    """Durations in real seconds and their ratio, each with its plus-or-minus.

    The plus-or-minus is one standard deviation where each moment is off by one frame (the same
    word for a standard uncertainty as in the Guide to the Expression of Uncertainty in
    Measurement, JCGM 100).
    """

    backswing_s: float
    backswing_pm_s: float
    downswing_s: float
    downswing_pm_s: float
    ratio: float
    ratio_pm: float


def tempo(found: Timed, frame_us: float, *, rate: float = 1.0) -> Tempo | None:
    """How long a swing takes to the top and from there to the ball, and the ratio of the two.

    frame_us: how long a frame is shown, in played microseconds. rate: played time to real time
    (8 where 240 frames a second were stored as 30; 1 where nothing was stretched). None where the
    top or the strike is not known or the moments are not in order.

    With begin a, top t and strike s, backswing b = t - a, downswing d = s - t, ratio r = b / d,
    and a, t and s each off by one frame u on its own, to first order

        u(b) = u(d) = sqrt(2) u
        u(r) = (u / d) sqrt(1 + (1 + r)^2 + r^2)

    as dr/da = -1/d, dr/dt = (1 + r)/d and dr/ds = -r/d. (The top is in both durations, so
    adding u(b) and u(d) as if they were independent would make u(r) too small.) Raises
    ValueError for a rate or a frame that is not above 0.
    """
    if rate <= 0 or frame_us <= 0:
        raise ValueError(f"a rate and a frame last more than 0, not {rate} and {frame_us}")
    if found.top_us is None or found.strike_us is None:
        return None
    if not found.begin_us < found.top_us < found.strike_us:
        return None
    unit = 1e6 * rate
    frame = frame_us / unit
    back = (found.top_us - found.begin_us) / unit
    down = (found.strike_us - found.top_us) / unit
    ratio = back / down
    each = sqrt(2) * frame
    pm = frame / down * sqrt(1 + (1 + ratio) ** 2 + ratio**2)
    return Tempo(back, each, down, each, ratio, pm)
