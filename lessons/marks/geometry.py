"""Plane geometry of marks. static/marks/geometry.js says the same in the browser's language."""

from __future__ import annotations

import math

Point = tuple[float, float]


def angle_deg(first: Point, corner: Point, second: Point) -> float:
    """The angle between two arms that meet at a corner, 0 to 180 degrees.

    atan2 of the cross and the dot product: exact near 0 and 180, where the arc cosine is not.
    An arm without length makes no angle: 0.
    """
    ax, ay = first[0] - corner[0], first[1] - corner[1]
    bx, by = second[0] - corner[0], second[1] - corner[1]
    return math.degrees(math.atan2(abs(ax * by - ay * bx), ax * bx + ay * by))


def sweep_rad(first: Point, corner: Point, second: Point) -> float:
    """The signed turn from the first arm to the second, in (-pi, pi]; y points down."""
    ax, ay = first[0] - corner[0], first[1] - corner[1]
    bx, by = second[0] - corner[0], second[1] - corner[1]
    cross = ax * by - ay * bx
    # A half turn goes one way only, whatever the sign of a zero
    return math.atan2(cross if cross != 0 else 0.0, ax * bx + ay * by)


def distance(a: Point, b: Point) -> float:
    return math.hypot(b[0] - a[0], b[1] - a[1])


def whole(value: float) -> int:
    """Rounded to a whole number, halves upwards (Python's own rounds them to even)."""
    return math.floor(value + 0.5)
