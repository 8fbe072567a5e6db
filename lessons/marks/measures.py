"""What the marks of a still measure, in the trade's words. static/marks/measures.js is its twin."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from lessons.marks import readings
from lessons.marks.geometry import distance, whole
from lessons.marks.mark import LINES, Mark
from lessons.marks.readings import Reading, Scale
from lessons.marks.sight import Sight


@dataclass(frozen=True)
class Measure:
    """A number read off marks: `value` and `error` in `unit`, '°' or 'cm'.

    `to` says against what, `ways` what a value above or below zero is called ('' if it has no
    sign), e.g. 'to the horizontal' and 'rising toward the target'.
    """

    kind: str
    value: float
    error: float
    unit: str = "°"
    to: str = ""
    ways: tuple[str, str] = ("", "")

    @property
    def short(self) -> str:
        """For the mark itself: '12° ±1°', '8.4 ±0.6 cm'."""
        value, error = rounded(abs(self.value), self.error, self.unit)
        return f"{value}° ±{error}°" if self.unit == "°" else f"{value} ±{error} cm"

    @property
    def way(self) -> str:
        """Which way it is off; nothing where the number shown is 0."""
        if float(rounded(abs(self.value), self.error, self.unit)[0]) == 0:
            return ""
        return self.ways[0] if self.value > 0 else self.ways[1]

    @property
    def sentence(self) -> str:
        """'12° ±1° from the vertical, leaning away from the target'."""
        if self.ways[0] == "above":
            return f"{self.short} {self.way or 'off'} {self.to}"
        to = f"off {self.to}" if self.kind in {"off", "off_cm"} else self.to
        words = f"{self.short} {to}".strip()
        return f"{words}, {self.way}" if self.way else words


def rounded(value: float, error: float, unit: str) -> tuple[str, str]:
    """A value and its error as they are written: whole, centimetres to a tenth if they bear it."""
    if unit == "cm" and error < 1:
        return f"{whole(value * 10) / 10:.1f}", f"{max(1, whole(error * 10)) / 10:.1f}"
    return str(whole(value)), str(max(1, whole(error)))


def measures_of(mark: Mark, marks: Sequence[Mark], sight: Sight) -> list[Measure]:
    """All that one mark measures among the marks of its still; what can't be read is left out."""
    u = sight.error_px
    if mark.kind == "angle":
        return _kept([_measure("angle", readings.corner(*mark.points, u))])
    by = scale_of(marks, sight)
    other = next((m for m in marks if m.id == mark.against and m.kind in LINES), None)
    if mark.kind == "point":
        return _point(mark, other, by, sight) if other else []
    if mark.kind not in LINES:
        return []
    a, b = mark.points
    toward, away = sight.ways
    found = [
        _measure(
            "level",
            readings.level(a, b, sight.side, u),
            to="to the horizontal",
            ways=(f"rising {toward}", f"rising {away}"),
        ),
        _measure(
            "upright",
            readings.upright(a, b, sight.side, u),
            to="from the vertical",
            ways=(f"leaning {toward}", f"leaning {away}"),
        ),
    ]
    if by:
        found.append(_measure("length", readings.length_cm(a, b, by, u), "cm", "long"))
    if other and other.id != mark.id:
        read = readings.between_lines(a, b, *other.points, u)
        found.append(_measure("lines", read, to=f"to {called(other)}"))
    return _kept(found)


def _point(mark: Mark, line: Mark, by: Scale | None, sight: Sight) -> list[Measure]:
    point, (a, b), u = mark.points[0], line.points, sight.error_px
    ways = ("above", "below")
    if readings.is_steep(a, b):
        ways = sight.ways
    to = called(line)
    found = [_measure("off", readings.off_deg(point, a, b, sight.side, u), "°", to, ways)]
    if by:
        read = readings.off_cm(point, a, b, sight.side, by, u)
        found.append(_measure("off_cm", read, "cm", to, ways))
    return _kept(found)


def scale_of(marks: Sequence[Mark], sight: Sight) -> Scale | None:
    """The still's scale: its longest ruler's, which has the smallest share of error."""
    rulers = [mark for mark in marks if mark.kind == "ruler"]
    if not rulers:
        return None
    longest = max(rulers, key=lambda mark: distance(*mark.points))
    return readings.scale(*longest.points, longest.length_mm, sight.error_px)


def shown_measure(mark: Mark, marks: Sequence[Mark], sight: Sight) -> Measure | None:
    """The one that a mark says on the picture and that a table takes; None if it says none."""
    wanted = "angle" if mark.kind == "angle" else mark.shows
    found = measures_of(mark, marks, sight) if wanted else []
    return next((measure for measure in found if measure.kind == wanted), None)


def said(mark: Mark, marks: Sequence[Mark], sight: Sight) -> str:
    """The few words on the mark itself: its shown measure, or a ruler's known length."""
    if mark.kind == "ruler":
        return f"{known_cm(mark.length_mm)} cm"
    measure = shown_measure(mark, marks, sight)
    return measure.short if measure else ""


def known_cm(length_mm: float) -> str:
    """A known length in centimetres, to a tenth: '4.3', '93', '185.4'."""
    tenths = whole(length_mm)
    return str(tenths // 10) if tenths % 10 == 0 else f"{tenths / 10:.1f}"


def called(mark: Mark) -> str:
    """What a mark is called in a sentence about another one."""
    return mark.text or "the other line"


def _measure(
    kind: str,
    read: Reading | None,
    unit: str = "°",
    to: str = "",
    ways: tuple[str, str] = ("", ""),
) -> Measure | None:
    if read is None or not all(map(math.isfinite, read)):
        return None
    return Measure(kind, *read, unit, to, ways)


def _kept(found: Sequence[Measure | None]) -> list[Measure]:
    return [measure for measure in found if measure]
