"""One thing drawn on a still, as it is stored."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

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
    }


@dataclass(frozen=True)
class Mark:
    """A mark; `points` are (x, y) in the still's own pixels, (0, 0) its upper left corner.

    Line and arrow go from the first point to the second; an angle's points are arm, corner,
    arm; box and ellipse fill the rectangle between two opposite corners; a label is centred on
    its point.
    """

    id: str
    kind: str
    points: tuple[Point, ...]
    colour: str
    text: str = ""

    @classmethod
    def from_json(cls, row: Mapping[str, Any]) -> Mark:
        """From one object of `MarkSet.marks`, which was checked when it was saved."""
        points = tuple((float(x), float(y)) for x, y in row["points"])
        return cls(row["id"], row["kind"], points, row["colour"], row.get("text", ""))

    def as_json(self) -> dict[str, Any]:
        return {
            "id": self.id,
            "kind": self.kind,
            "points": [list(point) for point in self.points],
            "colour": self.colour,
            "text": self.text,
        }

    @property
    def degrees(self) -> int:
        """What an angle shows: whole degrees, as much as one camera can honestly say."""
        return whole(angle_deg(*self.points))

    @property
    def words(self) -> str:
        """The mark in words, for those who hear the page: 'Angle, 32 degrees'."""
        if self.kind == "angle":
            return f"Angle, {self.degrees} degrees"
        if self.kind == "label":
            return f"Label: {self.text}"
        return self.kind.capitalize()

    @property
    def colour_name(self) -> str:
        return COLOURS[self.colour].name
