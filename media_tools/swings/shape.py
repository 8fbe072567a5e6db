"""The course that a swing's motion takes, and how alike a stretch of a clip is to it.

Slow and growing on the way back, almost still at the top, strongest through the ball, dying away
to the finish, stillness on both sides. Walking, waggling or bending down may be as strong, but
do not take this course.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt

Course = npt.NDArray[np.float32]

# Real seconds. Quartiles of skilled players lie well inside: event labels of GolfDB (McNally et
# al., CVPR Workshops 2019, arXiv 1903.06528) give backswings of 21 to 37 and downswings of 6 to 9
# frames at 30 a second (10th to 90th percentile), and a finish 2.48 downswings after impact.
BACKSWINGS_S = (0.55, 0.72, 0.94, 1.22)
DOWNSWINGS_S = (0.2, 0.26, 0.34, 0.44)
RATIOS = (1.9, 5.5)
FINISH_DOWNSWINGS = 2.48
STILL_BEFORE_S, STILL_AFTER_S = 0.4, 0.25


@dataclass(frozen=True, eq=False)
class Template:
    """One tempo's course, sampled evenly; mean 0, length 1.

    strike: the sample at which the ball is met.
    """

    course: Course
    strike: int
    back_s: float
    down_s: float


@lru_cache(maxsize=4)
def templates(rate_hz: float) -> tuple[Template, ...]:
    """The courses of all tempos looked for, sampled at a rate."""
    pairs = [(b, d) for b in BACKSWINGS_S for d in DOWNSWINGS_S]
    return tuple(
        _template(back, down, rate_hz)
        for back, down in pairs
        if RATIOS[0] <= back / down <= RATIOS[1]
    )


def _template(back: float, down: float, rate_hz: float) -> Template:
    strike, through = back + down, FINISH_DOWNSWINGS * down
    end = strike + through
    knots = (
        (-STILL_BEFORE_S, 0.0), (0.0, 0.0),
        (0.25 * back, 0.25), (0.65 * back, 0.55), (back, 0.3),
        (back + 0.55 * down, 0.75), (back + 0.9 * down, 1.0), (back + 1.1 * down, 0.95),
        (strike + 0.25 * through, 0.6), (strike + 0.6 * through, 0.4),
        (end, 0.0), (end + STILL_AFTER_S, 0.0),
    )  # fmt: skip
    times, values = zip(*knots, strict=True)
    course = np.interp(np.arange(times[0], times[-1], 1 / rate_hz), times, values)
    course -= course.mean()
    course /= np.linalg.norm(course)
    return Template(
        course.astype(np.float32), round((STILL_BEFORE_S + strike) * rate_hz), back, down
    )


def likeness(course: Course, template: Template) -> Course:
    """The correlation with the template, -1 to 1, for a strike at each sample.

    The course is taken to stay as it is before its first and after its last sample.
    """
    n = len(template.course)
    padded = np.pad(course, (template.strike, n - template.strike - 1), mode="edge")
    product = np.correlate(padded, template.course, mode="valid")
    exact = padded.astype(np.float64)
    total = np.concatenate([[0.0], np.cumsum(exact)])
    squares = np.concatenate([[0.0], np.cumsum(exact * exact)])
    s1, s2 = total[n:] - total[:-n], squares[n:] - squares[:-n]
    spread = np.sqrt(np.maximum(s2 - s1 * s1 / n, 1e-6))
    result: Course = (product / spread).astype(np.float32)
    return result
