"""How each swing's picture is laid into a cell, so that they come to the same size and place. Pure.

All cells have the shape of the first picture. Two points of each, the same two of the body or
the ball, are brought to the same distance and the same middle; no picture is turned, so that what
is level stays level.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

Point = tuple[float, float]


@dataclass(frozen=True)
class Picture:
    """One swing's picture. Points are shares of its width and height, before it is mirrored."""

    width_px: int
    height_px: int
    mirrored: bool = False
    points: tuple[Point, Point] | None = None


@dataclass(frozen=True)
class Window:
    """Where the (mirrored) picture lies: cell = picture * scale + (left, top).

    In pixels of the first picture, of whose size the cell is.
    """

    scale: float
    left: float
    top: float

    def scaled(self, share: float) -> Window:
        """The same for a picture with more or fewer pixels: `share` is 1/2 for twice as many."""
        return Window(self.scale * share, self.left, self.top)


def windows(pictures: Sequence[Picture], zoom: float = 1.0) -> list[Window]:
    """The window of each picture. `zoom` brings all closer, about what is matched."""
    first = pictures[0]
    matched = all(_span(picture) > 0 for picture in pictures)
    middle = (first.width_px / 2, first.height_px / 2)
    goal = _middle(first) if matched else middle
    # As all come closer, what is matched moves toward the middle of the cell
    place = tuple(m + (g - m) / zoom for m, g in zip(middle, goal, strict=True))
    found = []
    for picture in pictures:
        if matched:
            scale, spot = _span(first) / _span(picture), _middle(picture)
        else:
            scale = min(first.width_px / picture.width_px, first.height_px / picture.height_px)
            spot = (picture.width_px / 2, picture.height_px / 2)
        scale *= zoom
        found.append(Window(scale, place[0] - scale * spot[0], place[1] - scale * spot[1]))
    return found


def _pixels(picture: Picture) -> tuple[Point, Point]:
    """The two points where they lie once the picture is mirrored."""
    (ax, ay), (bx, by) = picture.points or ((0.0, 0.0), (0.0, 0.0))
    if picture.mirrored:
        ax, bx = 1 - ax, 1 - bx
    width, height = picture.width_px, picture.height_px
    return (ax * width, ay * height), (bx * width, by * height)


def _span(picture: Picture) -> float:
    """How far the points are from one another, in pixels; 0 where there are none."""
    (ax, ay), (bx, by) = _pixels(picture)
    return math.hypot(bx - ax, by - ay) if picture.points else 0.0


def _middle(picture: Picture) -> Point:
    (ax, ay), (bx, by) = _pixels(picture)
    return (ax + bx) / 2, (ay + by) / 2
