"""One thing drawn on a still, as it is stored."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from lessons.clips.alike import numbered
from lessons.marks.drawing import COLOURS
from lessons.marks.geometry import Point, angle_deg, whole


class Kind:
    """The kinds of mark, and how many points each has (None: any number from two)."""

    POINTS: dict[str, int | None] = {
        "line": 2,
        "arrow": 2,
        "angle": 3,
        "box": 2,
        "ellipse": 2,
        "freehand": None,
        "label": 1,
        "ruler": 2,
        "point": 1,
    }


# What each kind can say on the picture; an angle always says its degrees
LINES = ("line", "arrow")
SHOWS: dict[str, tuple[str, ...]] = {
    "line": ("level", "upright", "length", "lines"),
    "arrow": ("level", "upright", "length", "lines"),
    "point": ("off", "off_cm"),
    "ruler": ("scale",),
}


OPTIONAL = ("shows", "against", "length_mm")


@dataclass(frozen=True)
class Mark:
    """A mark; `points` are (x, y) in the still's own pixels, (0, 0) its upper left corner.

    Line and arrow go from the first point to the second; an angle's points are arm, corner,
    arm; box and ellipse fill the rectangle between two opposite corners; a label is centred on
    its point; a ruler lies along a known length of `length_mm`.

    `text` is a label's words or another mark's name. `against` is the id of the line that a
    line or point is measured against (it may be gone), `shows` the measure it says; a ruler that
    shows "scale" is the one that the coach chose to count.
    """

    id: str
    kind: str
    points: tuple[Point, ...]
    colour: str
    text: str = ""
    shows: str = ""
    against: str = ""
    length_mm: float = 0

    @classmethod
    def from_json(cls, row: Mapping[str, Any]) -> Mark:
        """From one object of `MarkSet.marks`, which was checked when it was saved."""
        points = tuple((float(x), float(y)) for x, y in row["points"])
        more = {name: row[name] for name in ("text", *OPTIONAL) if name in row}
        return cls(row["id"], row["kind"], points, row["colour"], **more)

    def as_json(self) -> dict[str, Any]:
        more = {name: getattr(self, name) for name in OPTIONAL if getattr(self, name)}
        return {
            "id": self.id,
            "kind": self.kind,
            "points": [list(point) for point in self.points],
            "colour": self.colour,
            "text": self.text,
            **more,
        }

    @property
    def degrees(self) -> int:
        """What an angle shows: whole degrees, as much as one camera can honestly say."""
        return whole(angle_deg(*self.points))

    @property
    def may_measure(self) -> bool:
        """Whether it says a number that depends on the camera or on other marks."""
        return self.kind == "angle" or bool(self.shows)

    @property
    def words(self) -> str:
        """The mark in words, for those who hear the page: 'Angle, 32 degrees'."""
        return self.words_as("")

    def words_as(self, number: str) -> str:
        """The same with what tells it from others alike: 'Line 2: Spine'."""
        kind = f"{self.kind.capitalize()} {number}".strip()
        words = f"{kind}: {self.text}" if self.text else kind
        return f"{words}, {self.degrees} degrees" if self.kind == "angle" else words

    @property
    def colour_name(self) -> str:
        return COLOURS[self.colour].name


def numbers_of(marks: Sequence[Mark]) -> dict[str, str]:
    """What tells marks of one kind and name apart, by their ids: '1', '2' as they were drawn.

    '' for a mark that is the only one of its kind and name. static/marks/shapes.js has the same.
    """
    numbers = numbered([(mark.kind, mark.text) for mark in marks])
    return {mark.id: str(n or "") for mark, n in zip(marks, numbers, strict=True)}
