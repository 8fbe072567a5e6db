"""Looks at marks that a browser sends, before they are kept."""

from __future__ import annotations

import math
import re
from typing import Any

from lessons.marks.drawing import COLOURS, LIMITS, Frame
from lessons.marks.geometry import Point
from lessons.marks.mark import LINES, OPTIONAL, SHOWS, Kind, Mark

ID = re.compile(r"[A-Za-z0-9_-]{1,40}")
FIELDS = {"id", "kind", "points", "colour", "text", *OPTIONAL}
LEAST_MM, MOST_MM = 10, 3000


class MarksRefused(Exception):
    """Marks that can't be kept; `str()` is a sentence for the person who drew them."""


def check_marks(rows: Any, frame: Frame) -> list[Mark]:
    """Marks of a picture of this size, from parsed JSON.

    Raises MarksRefused at the first thing that is wrong. Coordinates are rounded to a hundredth
    of a pixel, texts are stripped and have their white space made single.
    """
    if not isinstance(rows, list):
        raise MarksRefused("The marks did not arrive as a list.")
    if len(rows) > LIMITS["marks"]:
        raise MarksRefused(f"A still holds at most {LIMITS['marks']} marks; delete some first.")
    marks = [_check_mark(row, number, frame) for number, row in enumerate(rows, start=1)]
    if len({mark.id for mark in marks}) < len(marks):
        raise MarksRefused("Two marks have the same name.")
    if sum(len(mark.points) for mark in marks) > LIMITS["all_points"]:
        raise MarksRefused("There is too much freehand drawing on this still; delete some first.")
    return marks


def _check_mark(row: Any, number: int, frame: Frame) -> Mark:
    if not isinstance(row, dict) or not FIELDS.issuperset(row):
        raise MarksRefused(f"Mark {number} is not written as a mark.")
    name, kind, colour = row.get("id"), row.get("kind"), row.get("colour")
    if not isinstance(name, str) or not ID.fullmatch(name):
        raise MarksRefused(f"Mark {number} has no proper name.")
    if not isinstance(kind, str) or kind not in Kind.POINTS:
        raise MarksRefused(f"Mark {number} is of no known kind.")
    if not isinstance(colour, str) or colour not in COLOURS:
        raise MarksRefused(f"Mark {number} has a colour that is not in the palette.")
    points = _check_points(row.get("points"), number, kind, frame)
    return Mark(
        name,
        kind,
        points,
        colour,
        _check_text(row.get("text", ""), number, kind),
        _check_shows(row.get("shows", ""), number, kind),
        _check_against(row.get("against", ""), number, kind),
        _check_length(row.get("length_mm", 0), number, kind),
    )


def _check_shows(shows: Any, number: int, kind: str) -> str:
    if shows != "" and (not isinstance(shows, str) or shows not in SHOWS.get(kind, ())):
        raise MarksRefused(f"Mark {number} ({kind}) can't show that measure.")
    return shows


def _check_against(against: Any, number: int, kind: str) -> str:
    """The line may be gone: undo brings it back, and until then nothing is measured."""
    if against == "":
        return ""
    if kind not in (*LINES, "point") or not isinstance(against, str) or not ID.fullmatch(against):
        raise MarksRefused(f"Mark {number} ({kind}) can't be measured against that.")
    return against


def _check_length(length_mm: Any, number: int, kind: str) -> float:
    if kind != "ruler":
        if length_mm:
            raise MarksRefused(f"Mark {number} ({kind}) can't have a known length; a ruler can.")
        return 0
    if not _is_number(length_mm) or not LEAST_MM <= length_mm <= MOST_MM:
        raise MarksRefused(
            f"Mark {number} (ruler) needs a known length between 1 and {MOST_MM // 10} cm."
        )
    return round(float(length_mm), 2)


def _check_points(rows: Any, number: int, kind: str, frame: Frame) -> tuple[Point, ...]:
    wanted = Kind.POINTS[kind]
    if not isinstance(rows, list) or (
        len(rows) != wanted if wanted else not 2 <= len(rows) <= LIMITS["points"]
    ):
        count = wanted or f"2 to {LIMITS['points']}"
        raise MarksRefused(f"Mark {number} ({kind}) needs {count} points.")
    margin = LIMITS["margin"] * max(frame.width, frame.height)
    points = []
    for row in rows:
        if not isinstance(row, list) or len(row) != 2 or not all(map(_is_number, row)):
            raise MarksRefused(f"Mark {number} ({kind}) has a point that is no pair of numbers.")
        x, y = row
        if not (-margin <= x <= frame.width + margin and -margin <= y <= frame.height + margin):
            raise MarksRefused(f"Mark {number} ({kind}) lies too far outside the picture.")
        points.append((round(float(x), 2), round(float(y), 2)))
    return tuple(points)


def _is_number(value: Any) -> bool:
    if isinstance(value, float):
        return math.isfinite(value)
    return isinstance(value, int) and not isinstance(value, bool)


def _check_text(text: Any, number: int, kind: str) -> str:
    if not isinstance(text, str):
        raise MarksRefused(f"Mark {number} ({kind}) has a text that is no text.")
    text = " ".join(text.split())
    if (kind == "label" and not text) or not text.isprintable():
        raise MarksRefused(f"Mark {number} ({kind}) needs a text of plain letters.")
    if len(text) > LIMITS["text"]:
        raise MarksRefused(f"Mark {number} ({kind}) is longer than {LIMITS['text']} letters.")
    return text
