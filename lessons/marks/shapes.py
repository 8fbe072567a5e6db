"""What a mark looks like: layers of outlines, and a text. static/marks/shapes.js is its twin.

The SVG on a page and the picture that Pillow draws are both made from these layers, so they
can't drift apart; a test holds the two languages together.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from lessons.marks import paths
from lessons.marks.drawing import COLOURS, CONSTANTS, Frame, text_width
from lessons.marks.geometry import Point, distance, sweep_rad
from lessons.marks.mark import Mark
from lessons.marks.paths import Path

FULLEST_PLATE = 0.94  # of the picture's width
# Where a plate goes if another is there already: steps of its height, nearest first
ASIDE = (0, -1, 1, -2, 2, -3, 3, -4, 4)


@dataclass(frozen=True)
class Layer:
    """An outline to fill, to stroke, or both; colours or ''; width in pixels."""

    path: Path
    fill: str = ""
    stroke: str = ""
    width: float = 0

    @property
    def data(self) -> str:
        return paths.svg_data(self.path)


@dataclass(frozen=True)
class Text:
    """One line of text: its left end on the base line, its size and width in pixels."""

    words: str
    x: float
    y: float
    size: float
    width: float
    colour: str


@dataclass(frozen=True)
class Plate:
    """The rectangle under a text, in pixels from the picture's upper left corner."""

    x: float
    y: float
    width: float
    height: float

    def lies_on(self, other: Plate) -> bool:
        across = self.x < other.x + other.width and other.x < self.x + self.width
        return across and self.y < other.y + other.height and other.y < self.y + self.height


Made = tuple[list[Layer], Text | None, Plate | None]


@dataclass(frozen=True)
class Shape:
    """A mark made ready to draw, from the lowest layer to the text on top."""

    mark: Mark
    layers: tuple[Layer, ...]
    text: Text | None = None
    plate: Plate | None = None


def shape_of(mark: Mark, frame: Frame, said: str = "", taken: Sequence[Plate] = ()) -> Shape:
    """The layers of a mark on a picture of this size; `said` are the measure's few words.

    A plate keeps off those that are `taken`; a label stays where the coach put it.
    """
    layers, text, plate = MAKERS[mark.kind](mark, frame, said, taken)
    return Shape(mark, tuple(layers), text, plate)


def shapes_of(marks: Sequence[Mark], frame: Frame, said: Sequence[str]) -> list[Shape]:
    """All marks of a picture, none of whose numbers covers another; `said` are their words."""
    labels = [shape_of(mark, frame) for mark in marks if mark.kind == "label"]
    taken = [label.plate for label in labels if label.plate]
    shapes = []
    for mark, words in zip(marks, said, strict=True):
        shape = shape_of(mark, frame, words, taken)
        shapes.append(shape)
        if shape.plate and mark.kind != "label":
            taken.append(shape.plate)
    return shapes


def _stroked(path: Path, mark: Mark, frame: Frame) -> list[Layer]:
    """A line in the mark's colour with a thin edge, so that it stands on grass and on sky."""
    width, halo = frame.px("stroke"), frame.px("halo")
    edge = Layer(path, stroke=COLOURS[mark.colour].edge, width=width + 2 * halo)
    return [edge, Layer(path, stroke=mark.colour, width=width)]


def _filled(path: Path, mark: Mark, frame: Frame) -> list[Layer]:
    edge = COLOURS[mark.colour].edge
    return [
        Layer(path, fill=edge, stroke=edge, width=2 * frame.px("halo")),
        Layer(path, fill=mark.colour),
    ]


def _plate(
    words: str, centre: Point, mark: Mark, frame: Frame, taken: Sequence[Plate] = ()
) -> tuple[list[Layer], Text, Plate]:
    """Words on a plate of the mark's colour, moved inside the picture where it would leave it.

    Where another plate is, it goes above or below that one; if all is full, it stays.
    """
    width, height, size = plate_size(words, frame)
    x = min(max(centre[0] - width / 2, 0), frame.width - width)
    step = height + frame.px("plate_apart")
    ys = (centre[1] - height / 2 + n * step for n in ASIDE)
    places = [Plate(x, min(max(y, 0), frame.height - height), width, height) for y in ys]
    free = (p for p in places if not any(p.lies_on(other) for other in taken))
    place = next(free, places[0])
    y = place.y
    layers = _filled(paths.rounded(x, y, width, height, frame.px("plate_corner")), mark, frame)
    wide = text_width(words, size)
    base = y + (height + size * CONSTANTS["cap_height"]) / 2
    ink = COLOURS[mark.colour].ink
    return layers, Text(words, x + (width - wide) / 2, base, size, wide, ink), place


def plate_size(words: str, frame: Frame) -> tuple[float, float, float]:
    """Width and height of a plate and the size of its text; a long text is set smaller."""
    size = frame.px("text_size")
    pad_x, pad_y = frame.px("plate_pad_x"), frame.px("plate_pad_y")
    room = FULLEST_PLATE * frame.width - 2 * pad_x
    wide = text_width(words, size)
    if wide > room:
        size *= room / wide
        wide = room
    return wide + 2 * pad_x, size * CONSTANTS["cap_height"] + 2 * pad_y, size


def _with_words(
    layers: list[Layer], mark: Mark, frame: Frame, said: str, taken: Sequence[Plate]
) -> Made:
    """Words beside the middle of a line, above it or, if it is upright, on its right."""
    if not said:
        return layers, None, None
    (x, y), (x2, y2) = mark.points
    length = distance(*mark.points)
    nx, ny = ((y2 - y) / length, (x - x2) / length) if length else (0.0, -1.0)
    if ny > 0 or (ny == 0 and nx < 0):
        nx, ny = -nx, -ny
    width, height, _ = plate_size(said, frame)
    away = frame.px("plate_gap") + frame.px("stroke") + (abs(nx) * width + abs(ny) * height) / 2
    centre = ((x + x2) / 2 + away * nx, (y + y2) / 2 + away * ny)
    plate, text, place = _plate(said, centre, mark, frame, taken)
    return [*layers, *plate], text, place


def _line(mark: Mark, frame: Frame, said: str, taken: Sequence[Plate]) -> Made:
    layers = _stroked(paths.polyline(mark.points), mark, frame)
    return _with_words(layers, mark, frame, said, taken)


def _arrow(mark: Mark, frame: Frame, said: str, taken: Sequence[Plate]) -> Made:
    tail, tip = mark.points
    length = distance(tail, tip)
    head = min(frame.px("head_length"), 0.6 * length)
    half = head * CONSTANTS["head_width"] / CONSTANTS["head_length"] / 2
    dx, dy = ((tip[0] - tail[0]) / length, (tip[1] - tail[1]) / length) if length else (1.0, 0.0)
    base = (tip[0] - head * dx, tip[1] - head * dy)
    point = paths.polyline(
        [
            tip,
            (base[0] - half * dy, base[1] + half * dx),
            (base[0] + half * dy, base[1] - half * dx),
        ],
        closed=True,
    )
    shaft_edge, shaft = _stroked(paths.polyline([tail, base]), mark, frame)
    head_edge, head_fill = _filled(point, mark, frame)
    return _with_words([shaft_edge, head_edge, shaft, head_fill], mark, frame, said, taken)


def _angle(mark: Mark, frame: Frame, said: str, taken: Sequence[Plate]) -> Made:
    first, corner, second = mark.points
    sweep = sweep_rad(first, corner, second)
    start = math.atan2(first[1] - corner[1], first[0] - corner[0])
    shorter = min(distance(corner, first), distance(corner, second))
    radius = min(frame.px("arc_radius"), 0.6 * shorter)
    path = paths.polyline(mark.points)
    if radius > 0 and sweep != 0:
        path += paths.arc(corner, radius, start, sweep)
    words = said or f"{mark.degrees}°"
    width, height, _ = plate_size(words, frame)
    middle = start + sweep / 2
    cos, sin = math.cos(middle), math.sin(middle)
    away = radius + frame.px("plate_gap") + (abs(cos) * width + abs(sin) * height) / 2
    centre = (corner[0] + away * cos, corner[1] + away * sin)
    plate, text, place = _plate(words, centre, mark, frame, taken)
    return [*_stroked(path, mark, frame), *plate], text, place


def _box(mark: Mark, frame: Frame, _said: str, _taken: Sequence[Plate]) -> Made:
    return _stroked(paths.rectangle(*mark.points), mark, frame), None, None


def _ellipse(mark: Mark, frame: Frame, _said: str, _taken: Sequence[Plate]) -> Made:
    return _stroked(paths.ellipse(*mark.points), mark, frame), None, None


def _freehand(mark: Mark, frame: Frame, _said: str, _taken: Sequence[Plate]) -> Made:
    return _stroked(paths.smooth(mark.points), mark, frame), None, None


def _label(mark: Mark, frame: Frame, _said: str, _taken: Sequence[Plate]) -> Made:
    return _plate(mark.text, mark.points[0], mark, frame)


def _ruler(mark: Mark, frame: Frame, said: str, taken: Sequence[Plate]) -> Made:
    """A line with a tick across each end."""
    a, b = mark.points
    length, half = distance(a, b), frame.px("tick")
    nx, ny = ((a[1] - b[1]) / length * half, (b[0] - a[0]) / length * half) if length else (0, half)
    path = paths.polyline(mark.points)
    for x, y in (a, b):
        path += paths.polyline([(x - nx, y - ny), (x + nx, y + ny)])
    return _with_words(_stroked(path, mark, frame), mark, frame, said, taken)


def _point(mark: Mark, frame: Frame, said: str, taken: Sequence[Plate]) -> Made:
    """A ring with a cross through it, so that the exact spot stays in sight."""
    (x, y), r = mark.points[0], frame.px("point_radius")
    path = paths.ellipse((x - r, y - r), (x + r, y + r))
    path += paths.polyline([(x - 1.6 * r, y), (x + 1.6 * r, y)])
    path += paths.polyline([(x, y - 1.6 * r), (x, y + 1.6 * r)])
    layers = _stroked(path, mark, frame)
    if not said:
        return layers, None, None
    away = 1.6 * r + frame.px("plate_gap") + plate_size(said, frame)[0] / 2
    centre = (x + (away if x + 2 * away < frame.width else -away), y)
    plate, text, place = _plate(said, centre, mark, frame, taken)
    return [*layers, *plate], text, place


MAKERS: dict[str, Callable[[Mark, Frame, str, Sequence[Plate]], Made]] = {
    "line": _line,
    "arrow": _arrow,
    "angle": _angle,
    "box": _box,
    "ellipse": _ellipse,
    "freehand": _freehand,
    "label": _label,
    "ruler": _ruler,
    "point": _point,
}
