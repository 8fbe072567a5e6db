"""Outlines made of lines and curves: written as SVG path data, or flattened for Pillow."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

from lessons.marks.geometry import Point, distance

# ("M", x, y) | ("L", x, y) | ("Q", cx, cy, x, y) | ("C", ax, ay, bx, by, x, y) | ("Z",)
Step = tuple[object, ...]
Path = tuple[Step, ...]

QUARTER = 0.5522847498307936  # of the radius: a cubic's handles for a quarter of a circle
PIECE_PX = 8  # a curve is flattened into pieces of about this length


def svg_data(path: Path) -> str:
    """The path in SVG's own notation, to a hundredth of a pixel."""
    return "".join(
        str(step[0]) + " ".join(f"{value:.2f}" for value in step[1:])  # type: ignore[str-bytes-safe]
        for step in path
    )


def polyline(points: Sequence[Point], closed: bool = False) -> Path:
    first, *rest = points
    steps: list[Step] = [("M", *first), *(("L", *point) for point in rest)]
    return (*steps, ("Z",)) if closed else tuple(steps)


def rectangle(a: Point, b: Point) -> Path:
    return polyline([a, (b[0], a[1]), b, (a[0], b[1])], closed=True)


def ellipse(a: Point, b: Point) -> Path:
    """The ellipse that touches the sides of the rectangle from a to b."""
    cx, cy = (a[0] + b[0]) / 2, (a[1] + b[1]) / 2
    rx, ry = abs(b[0] - a[0]) / 2, abs(b[1] - a[1]) / 2
    kx, ky = rx * QUARTER, ry * QUARTER
    return (
        ("M", cx + rx, cy),
        ("C", cx + rx, cy + ky, cx + kx, cy + ry, cx, cy + ry),
        ("C", cx - kx, cy + ry, cx - rx, cy + ky, cx - rx, cy),
        ("C", cx - rx, cy - ky, cx - kx, cy - ry, cx, cy - ry),
        ("C", cx + kx, cy - ry, cx + rx, cy - ky, cx + rx, cy),
        ("Z",),
    )


def rounded(x: float, y: float, width: float, height: float, corner: float) -> Path:
    """A rectangle with round corners; x, y is its upper left corner."""
    r = min(corner, width / 2, height / 2)
    k = r - r * QUARTER
    right, bottom = x + width, y + height
    return (
        ("M", x + r, y),
        ("L", right - r, y),
        ("C", right - k, y, right, y + k, right, y + r),
        ("L", right, bottom - r),
        ("C", right, bottom - k, right - k, bottom, right - r, bottom),
        ("L", x + r, bottom),
        ("C", x + k, bottom, x, bottom - k, x, bottom - r),
        ("L", x, y + r),
        ("C", x, y + k, x + k, y, x + r, y),
        ("Z",),
    )


def arc(centre: Point, radius: float, start_rad: float, sweep_rad: float) -> Path:
    """Part of a circle, as one cubic for each quarter turn or less."""
    pieces = max(1, math.ceil(abs(sweep_rad) / (math.pi / 2) - 1e-9))
    turn = sweep_rad / pieces
    handle = 4 / 3 * math.tan(turn / 4) * radius
    cx, cy = centre
    steps: list[Step] = []
    for piece in range(pieces + 1):
        angle = start_rad + piece * turn
        cos, sin = math.cos(angle), math.sin(angle)
        x, y = cx + radius * cos, cy + radius * sin
        if piece == 0:
            steps.append(("M", x, y))
        else:
            before = steps[-1]
            bx, by = float(before[-2]), float(before[-1])  # type: ignore[arg-type]
            last = angle - turn
            steps.append(
                (
                    "C",
                    bx - handle * math.sin(last),
                    by + handle * math.cos(last),
                    x + handle * sin,
                    y - handle * cos,
                    x,
                    y,
                )
            )
    return tuple(steps)


def smooth(points: Sequence[Point]) -> Path:
    """A hand-drawn line: from middle to middle of the strokes, rounded at each point."""
    if len(points) < 3:
        return polyline(points)
    steps: list[Step] = [("M", *points[0])]
    for here, after in itertools.pairwise(points[1:-1]):
        steps.append(("Q", *here, (here[0] + after[0]) / 2, (here[1] + after[1]) / 2))
    steps.append(("Q", *points[-2], *points[-1]))
    return tuple(steps)


def flatten(path: Path) -> list[tuple[list[Point], bool]]:
    """The path as polylines: for each of its parts the points, and whether it is closed."""
    parts: list[tuple[list[Point], bool]] = []
    for name, *values in path:
        numbers = [float(value) for value in values]  # type: ignore[arg-type]
        if name == "M":
            parts.append(([(numbers[0], numbers[1])], False))
        elif name == "Z":
            parts[-1] = (parts[-1][0], True)
        elif name == "L":
            parts[-1][0].append((numbers[0], numbers[1]))
        else:
            points = parts[-1][0]
            controls = [points[-1], *zip(numbers[::2], numbers[1::2], strict=True)]
            length = sum(distance(a, b) for a, b in itertools.pairwise(controls))
            pieces = max(2, math.ceil(length / PIECE_PX))
            points += [bezier(controls, piece / pieces) for piece in range(1, pieces + 1)]
    return parts


def bezier(controls: Sequence[Point], t: float) -> Point:
    """The point at t of a Bezier curve of any order (de Casteljau)."""
    points = list(controls)
    while len(points) > 1:
        points = [
            (a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t)
            for a, b in itertools.pairwise(points)
        ]
    return points[0]
