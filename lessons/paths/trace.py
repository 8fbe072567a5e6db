"""A path as it is drawn on a picture: the trace, the box at P1, and the wall lines."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lessons.clips.positions import SwingPosition
from lessons.paths.drift import Drift
from lessons.paths.went import Run, Went

ROOM = 0.7  # round the trace, in box sides
LEAST_SHAPE, MOST_SHAPE = 1.2, 1.8  # width by height


@dataclass(frozen=True)
class Rect:
    x: float
    y: float
    width: float
    height: float


@dataclass(frozen=True)
class WallLine:
    """A wall across the picture, and the strip by which the patch went beyond it."""

    x1: float
    y1: float
    x2: float
    y2: float
    beyond: Rect | None


@dataclass(frozen=True)
class Dot:
    x: float
    y: float
    name: str


@dataclass(frozen=True)
class Trace:
    """Everything in pixels of the clip's cuts."""

    width: int
    height: int
    runs: tuple[Run, ...]
    box: Rect
    walls: tuple[WallLine, ...]
    dots: tuple[Dot, ...]
    names: tuple[Dot, ...]

    close: Rect  # what of the picture the trace lies in

    @property
    def letter(self) -> float:
        """The height of letters, on the part that is shown close."""
        return self.close.width / 22

    @property
    def dot(self) -> float:
        """A dot's radius there."""
        return self.close.width / 130


def trace_of(
    size_px: tuple[int, int],
    box_px: tuple[float, float],
    went: Went,
    positions: Sequence[SwingPosition],
    drift: Drift,
) -> Trace:
    """`size_px`: the picture's; `box_px`: the first box's sides."""
    width, height = size_px
    origin = drift.origin
    wide, tall = box_px[0] * origin.scale, box_px[1] * origin.scale
    box = Rect(origin.x - wide / 2, origin.y - tall / 2, wide, tall)
    lines = []
    for wall in drift.walls:
        crossed = wall.first_us is not None
        if wall.is_upright:
            left = min(wall.at_px, wall.at_px + wall.beyond_px)
            beyond = Rect(left, box.y, abs(wall.beyond_px), tall) if crossed else None
            lines.append(WallLine(wall.at_px, 0, wall.at_px, height, beyond))
        else:
            top = min(wall.at_px, wall.at_px + wall.beyond_px)
            beyond = Rect(box.x, top, wide, abs(wall.beyond_px)) if crossed else None
            lines.append(WallLine(0, wall.at_px, width, wall.at_px, beyond))
    at = [(p.position, went.at(p.time_us)) for p in positions]
    dots = tuple(Dot(place.x, place.y, name) for name, place in at if place)
    close = _close(went, box, width, height)
    return Trace(
        width=width,
        height=height,
        runs=went.runs(lambda place: (place.x, place.y)),
        box=box,
        walls=tuple(lines),
        dots=dots,
        names=_names(dots, close.width / 22, close),
        close=close,
    )


def _close(went: Went, box: Rect, width: int, height: int) -> Rect:
    """Where the trace and the box at P1 lie, with room round them, in a shape that is wide."""
    xs = [place.x for place in went.there] + [box.x, box.x + box.width]
    ys = [place.y for place in went.there] + [box.y, box.y + box.height]
    wide = max(xs) - min(xs) + 2 * ROOM * box.width
    tall = max(ys) - min(ys) + 2 * ROOM * box.height
    wide, tall = max(wide, tall * LEAST_SHAPE), max(tall, wide / MOST_SHAPE)
    wide, tall = min(wide, width), min(tall, height)
    left = min(max((max(xs) + min(xs) - wide) / 2, 0), width - wide)
    top = min(max((max(ys) + min(ys) - tall) / 2, 0), height - tall)
    return Rect(left, top, wide, tall)


def _names(dots: Sequence[Dot], letter: float, close: Rect) -> tuple[Dot, ...]:
    """Names beside their dots, those that every coach asks for first, none over another."""
    kept: list[Dot] = []
    for dot in sorted(dots, key=lambda dot: dot.name not in {"P1", "P4", "P7"}):
        right = min(dot.x + letter / 2, close.x + close.width - 2 * letter)
        place = Dot(right, dot.y - letter / 3, dot.name)
        if all(abs(place.x - k.x) > 2 * letter or abs(place.y - k.y) > letter for k in kept):
            kept.append(place)
    return tuple(kept)
