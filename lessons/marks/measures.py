"""What the marks of a still measure, in the trade's words. static/marks/measures.js is its twin."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from lessons.marks import readings
from lessons.marks.geometry import distance, whole
from lessons.marks.mark import LINES, Mark, numbers_of
from lessons.marks.readings import Reading, Scale
from lessons.marks.sight import Sight


@dataclass(frozen=True)
class Measure:
    """A number read off marks: `value` and `error` in `unit`, '°' or 'cm'.

    `to` says against what, `ways` what a value above or below zero is called ('' if it has no
    sign), e.g. 'to the horizontal' and 'rising toward the target'. `line` is the name of the line
    that it is measured against, `by` the ruler, where there are several to take it for.
    """

    kind: str
    value: float
    error: float
    unit: str = "°"
    to: str = ""
    ways: tuple[str, str] = ("", "")
    line: str = ""
    by: str = ""

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
        by = f", by {self.by}" if self.by else ""
        if self.ways[0] == "above":
            return f"{self.short} {self.way or 'off'} {self.to}{by}"
        to = f"off {self.to}" if self.kind in {"off", "off_cm"} else self.to
        words = f"{self.short} {to}".strip()
        return f"{words}, {self.way}{by}" if self.way else f"{words}{by}"


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
        return _point(mark, other, by, marks, sight) if other else []
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
        read = readings.length_cm(a, b, by, u)
        found.append(_measure("length", read, "cm", "long", by=_by(marks)))
    if other and other.id != mark.id:
        read = readings.between_lines(a, b, *other.points, u)
        to = f"to {called(other, marks)}"
        found.append(_measure("lines", read, to=to, line=other.text))
    return _kept(found)


def _point(
    mark: Mark, line: Mark, by: Scale | None, marks: Sequence[Mark], sight: Sight
) -> list[Measure]:
    point, (a, b), u = mark.points[0], line.points, sight.error_px
    ways = ("above", "below")
    if readings.is_steep(a, b):
        ways = sight.ways
    to = called(line, marks)
    read = readings.off_deg(point, a, b, sight.side, u)
    found = [_measure("off", read, "°", to, ways, line.text)]
    if by:
        read = readings.off_cm(point, a, b, sight.side, by, u)
        found.append(_measure("off_cm", read, "cm", to, ways, line.text, _by(marks)))
    return _kept(found)


def ruler_of(marks: Sequence[Mark]) -> Mark | None:
    """The ruler that counts: the one that the coach chose, else the longest.

    The longest has the smallest share of error.
    """
    rulers = [mark for mark in marks if mark.kind == "ruler"]
    chosen = next((mark for mark in rulers if mark.shows == "scale"), None)
    return chosen or max(rulers, key=lambda mark: distance(*mark.points), default=None)


def scale_of(marks: Sequence[Mark], sight: Sight) -> Scale | None:
    """The still's scale, by the ruler that counts."""
    ruler = ruler_of(marks)
    return readings.scale(*ruler.points, ruler.length_mm, sight.error_px) if ruler else None


def keep_scale(there: Sequence[Mark], more: Sequence[Mark]) -> tuple[list[Mark], list[Mark]]:
    """Marks, and those that are put over them: a ruler among the first goes on counting.

    So no number changes because marks were laid over it.
    """
    ruler = ruler_of(there)
    if ruler is None or all(mark.kind != "ruler" for mark in more):
        return list(there), list(more)
    return (
        [replace(mark, shows="scale") if mark is ruler else mark for mark in there],
        [replace(mark, shows="") if mark.kind == "ruler" else mark for mark in more],
    )


def shown_measure(mark: Mark, marks: Sequence[Mark], sight: Sight) -> Measure | None:
    """The one that a mark says on the picture and that a table takes; None if it says none."""
    wanted = "angle" if mark.kind == "angle" else mark.shows
    found = measures_of(mark, marks, sight) if wanted else []
    return next((measure for measure in found if measure.kind == wanted), None)


def said(mark: Mark, marks: Sequence[Mark], sight: Sight) -> str:
    """The few words on the mark itself: its shown measure, or a ruler's known length."""
    if mark.kind == "ruler":
        ruler = ruler_of(marks)
        unused = ", unused" if ruler and ruler.id != mark.id else ""
        return f"{known_cm(mark.length_mm)} cm{unused}"
    measure = shown_measure(mark, marks, sight)
    if measure is None:
        return ""
    return f"{measure.short} {measure.way}".strip() if "above" in measure.ways else measure.short


def known_cm(length_mm: float) -> str:
    """A known length in centimetres, to a tenth: '4.3', '93', '185.4'."""
    tenths = whole(length_mm)
    return str(tenths // 10) if tenths % 10 == 0 else f"{tenths / 10:.1f}"


def called(mark: Mark, marks: Sequence[Mark]) -> str:
    """Its name in a sentence about another mark: 'Spine', 'line 2', 'the line'."""
    number = numbers_of(marks).get(mark.id, "")
    if mark.text:
        return f"{mark.text} ({mark.kind} {number})" if number else mark.text
    return f"{mark.kind} {number}" if number else f"the {mark.kind}"


def _by(marks: Sequence[Mark]) -> str:
    """The ruler that counts, in words, where there is more than one."""
    ruler = ruler_of(marks)
    if ruler is None or sum(mark.kind == "ruler" for mark in marks) < 2:
        return ""
    return f"{called(ruler, marks)}, {known_cm(ruler.length_mm)} cm"


def _measure(
    kind: str,
    read: Reading | None,
    unit: str = "°",
    to: str = "",
    ways: tuple[str, str] = ("", ""),
    line: str = "",
    by: str = "",
) -> Measure | None:
    if read is None or not all(map(math.isfinite, read)):
        return None
    return Measure(kind, *read, unit, to, ways, line, by)


def _kept(found: Sequence[Measure | None]) -> list[Measure]:
    return [measure for measure in found if measure]
