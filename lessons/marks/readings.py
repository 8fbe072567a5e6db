"""Numbers read off marked points, each with its plus-or-minus; plane geometry, no words.

Every coordinate of a marked point is off by u on its own (`Sight.error_px`), so the error of a
number f of the coordinates x_i is, to first order, u * sqrt(sum((df / dx_i)^2)). A reading is
(value, error). First order holds where lines are long against u: shorter than `LEAST_SPANS` u
there is no reading (None).

static/marks/readings.js says the same in the browser's language.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from lessons.marks.geometry import Point, angle_deg, distance

Reading = tuple[float, float]

LEAST_SPANS = 4
# A line at least this steep has sides, a flatter one an above and a below (a choice of ours)
STEEP_DEG = 75.0


@dataclass(frozen=True)
class Scale:
    """Millimetres a pixel, and its error as a share of it."""

    mm: float
    share: float


def level(a: Point, b: Point, side: int, u: float) -> Reading | None:
    """A line against the horizontal, degrees in (-90, 90]; above zero it rises towards `side`.

    The ends move the line's direction by their errors across it, each u / L:
    error = sqrt(2) u / L radians.
    """
    if not _spans(u, distance(a, b)):
        return None
    (x, y), (x2, y2) = (a, b) if a[0] <= b[0] else (b, a)
    rise = math.degrees(math.atan2(y - y2, x2 - x))
    return (90.0 if abs(rise) == 90 else side * rise), _line_error(a, b, u)


def upright(a: Point, b: Point, side: int, u: float) -> Reading | None:
    """A line against the vertical, degrees in (-90, 90]; above zero its top leans to `side`.

    error = sqrt(2) u / L radians, as for the horizontal.
    """
    if not _spans(u, distance(a, b)):
        return None
    low, top = (a, b) if a[1] >= b[1] else (b, a)
    lean = math.degrees(math.atan2(top[0] - low[0], low[1] - top[1]))
    return (90.0 if abs(lean) == 90 else side * lean), _line_error(a, b, u)


def corner(first: Point, middle: Point, second: Point, u: float) -> Reading | None:
    """The angle between two arms that meet in one marked point, 0 to 180 degrees.

    The arms' ends add (u/A)^2 and (u/B)^2; the corner moves both directions at once and adds
    u^2 |n_b/B - n_a/A|^2. Together: error = u sqrt(2/A^2 + 2/B^2 - 2 cos(angle) / (A B)) radians.
    """
    arm, other = distance(first, middle), distance(second, middle)
    if not _spans(u, arm, other):
        return None
    angle = angle_deg(first, middle, second)
    turned = 2 / arm**2 + 2 / other**2 - 2 * math.cos(math.radians(angle)) / (arm * other)
    return angle, math.degrees(u * math.sqrt(max(turned, 0)))


def between_lines(a: Point, b: Point, c: Point, d: Point, u: float) -> Reading | None:
    """The angle between two lines, 0 to 90 degrees.

    error = u sqrt(2/L1^2 + 2/L2^2) radians: the lines are marked apart from one another.
    """
    if not _spans(u, distance(a, b), distance(c, d)):
        return None
    end = (a[0] + d[0] - c[0], a[1] + d[1] - c[1])
    angle = angle_deg(b, a, end)
    return min(angle, 180 - angle), math.hypot(_line_error(a, b, u), _line_error(c, d, u))


def scale(a: Point, b: Point, length_mm: float, u: float) -> Scale | None:
    """What a pixel is worth beside a known length; its share of error is sqrt(2) u / R."""
    span = distance(a, b)
    return Scale(length_mm / span, math.sqrt(2) * u / span) if _spans(u, span) else None


def length_cm(a: Point, b: Point, by: Scale, u: float) -> Reading | None:
    """A line's length in centimetres: L mm-a-pixel / 10.

    As shares: error / length = sqrt(2 u^2 / L^2 + 2 u^2 / R^2), R the ruler's pixels.
    """
    span = distance(a, b)
    if not _spans(u, span):
        return None
    cm = span * by.mm / 10
    return cm, cm * math.hypot(math.sqrt(2) * u / span, by.share)


def is_steep(a: Point, b: Point) -> bool:
    """Whether a reference line parts the picture into sides rather than above and below."""
    return abs(math.degrees(math.atan2(abs(b[1] - a[1]), abs(b[0] - a[0])))) >= STEEP_DEG


def off_deg(p: Point, a: Point, b: Point, side: int, u: float) -> Reading | None:
    """Where a point stands against a line, in degrees as seen from the line's lower end.

    Above zero: above the line; of a steep one, on the side of `side`. The lower end is where a
    plane line starts (the ball, the hands). Error as for an angle whose corner is that end.
    """
    low, top = (a, b) if a[1] >= b[1] else (b, a)
    read = corner(top, low, p, u)
    if read is None:
        return None
    return math.copysign(read[0], _across(p, low, top, side)), read[1]


def off_cm(p: Point, a: Point, b: Point, side: int, by: Scale, u: float) -> Reading | None:
    """The same as a distance square to the line (as it goes on past its ends), centimetres.

    With t the foot's place on the line (0 at one end, 1 at the other) the pixels' error is
    u sqrt(1 + (1 - t)^2 + t^2); the scale adds its share of the distance.
    """
    span = distance(a, b)
    if not _spans(u, span):
        return None
    low, top = (a, b) if a[1] >= b[1] else (b, a)
    px = _across(p, low, top, side)
    dot = (p[0] - low[0]) * (top[0] - low[0]) + (p[1] - low[1]) * (top[1] - low[1])
    t = dot / span**2
    error_px = u * math.sqrt(1 + (1 - t) ** 2 + t**2)
    return px * by.mm / 10, math.hypot(error_px, px * by.share) * by.mm / 10


def change(before: Reading, after: Reading, turn: float = 0) -> Reading:
    """After less before; two markings of their own: error = sqrt(e1^2 + e2^2).

    `turn` is after how much the measure comes round again: 180 for a line's direction.
    """
    by = after[0] - before[0]
    if turn:
        by -= turn * math.ceil(by / turn - 0.5)
    return by, math.hypot(before[1], after[1])


def _spans(u: float, *lengths: float) -> bool:
    return all(length > 0 and length >= LEAST_SPANS * u for length in lengths)


def _line_error(a: Point, b: Point, u: float) -> float:
    return math.degrees(math.sqrt(2) * u / distance(a, b))


def _across(p: Point, low: Point, top: Point, side: int) -> float:
    """Signed distance from the line in pixels, see off_deg."""
    x, y = top[0] - low[0], top[1] - low[1]
    right = (x * (p[1] - low[1]) - y * (p[0] - low[0])) / math.hypot(x, y)
    # Seen along the line upwards, a positive cross product is the picture's right hand
    if is_steep(low, top):
        return side * right
    # The right hand of a line that goes right lies below it, of one that goes left above
    return -right if x > 0 else right
