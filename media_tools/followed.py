"""A followed patch: the boxes that a person drew, and the path of what is in them.

Plain values, so that whoever only reads a path need not load what follows one.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from media_tools.times import Times

Numbers = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]

LEAST_SIDE_PX = 16.0  # less of a picture has nothing to know it by
MOST_SIDE_PX = 1000.0
#: Of the places claimed with confidence, 95 in 100 are off by less than this share of the box's
#: longer side (`make bench BENCH=follow`): a head that looks away is followed less exactly
ERROR_SHARE, LEAST_ERROR_PX = 0.025, 1.0
#: Confidence from which a place counts as sure
SURE = 0.7


def error_px(width_px: float, height_px: float) -> float:
    """The plus-or-minus of a sure place in pixels (95 in 100), from the first box's sides."""
    return max(LEAST_ERROR_PX, ERROR_SHARE * max(width_px, height_px))


@dataclass(frozen=True)
class Box:
    """Where a person says that the patch is, in one frame.

    frame: index into the frames' times.
    x_px, y_px: the box's middle; whole numbers are the middles of pixels.
    width_px, height_px: its sides; those of the first box give the patch its size.
    Raises ValueError where a side is not within 16 to 1000 pixels.
    """

    frame: int
    x_px: float
    y_px: float
    width_px: float
    height_px: float

    def __post_init__(self) -> None:
        if not all(math.isfinite(v) for v in (self.x_px, self.y_px)):
            raise ValueError("a box lies at a finite place")
        for side in (self.width_px, self.height_px):
            if not LEAST_SIDE_PX <= side <= MOST_SIDE_PX:
                raise ValueError(
                    f"a box's sides are {LEAST_SIDE_PX:g} to {MOST_SIDE_PX:g} pixels, not {side:g}"
                )


@dataclass(frozen=True)
class Gap:
    """Frames `first` to `last`, both included, in which the patch was not found."""

    first: int
    last: int

    @property
    def frames(self) -> int:
        return self.last - self.first + 1


@dataclass(frozen=True, eq=False)
class Path:
    """Where a patch's middle was in each frame; every array has shape (frames,).

    times_us: when each frame is shown, microseconds, as the frames say.
    x_px, y_px: float64, NaN where it was not found.
    found: whether a place is claimed; where not, nothing is filled in.
    confidence: float64, 0 to 1; 1 in a box, at least 0.5 where found, 0 elsewhere. It follows
        how far off the place may be: at `SURE` about 3 pixels.
    error_px: float64, the plus-or-minus of the place in pixels (95 in 100): `error_px()` of the
        box where it is sure, more where it is not; NaN where not found.
    scale: float64, the patch's size by that in the first box; NaN where not found.
    """

    times_us: Times = field(repr=False)
    x_px: Numbers = field(repr=False)
    y_px: Numbers = field(repr=False)
    found: Flags = field(repr=False)
    confidence: Numbers = field(repr=False)
    error_px: Numbers = field(repr=False)
    scale: Numbers = field(repr=False)

    @property
    def gaps(self) -> tuple[Gap, ...]:
        """The stretches in which it was not found, in order."""
        lost = np.concatenate(([False], ~self.found, [False])).astype(np.int8)
        edges = np.flatnonzero(np.diff(lost))
        return tuple(
            Gap(int(first), int(after) - 1)
            for first, after in zip(edges[::2], edges[1::2], strict=True)
        )
