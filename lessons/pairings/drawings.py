"""The marks that stand over a swing while the frame of their still is shown, as SVG."""

from __future__ import annotations

from dataclasses import dataclass

from lessons.clips.models import Still
from lessons.marks.measures import said
from lessons.marks.service import frame_of, marks_of, sight_of
from lessons.marks.shapes import shapes_of
from lessons.marks.svg import Drawing, alt_text
from lessons.pairings.mirroring import mirrored_marks, mirrored_sight
from lessons.pairings.sides import Side


@dataclass(frozen=True)
class MarkedStill:
    """One still's marks as they lie on the picture, and on the mirrored picture."""

    still: Still
    plain: Drawing
    mirrored: Drawing

    @property
    def both(self) -> list[tuple[str, Drawing]]:
        return [("plain", self.plain), ("mirrored", self.mirrored)]


def drawings_of(side: Side) -> list[MarkedStill]:
    """What is drawn on the stills of a side's swing."""
    return [
        MarkedStill(still, _drawing(still), _drawing(still, mirrored=True)) for still in side.stills
    ]


def _drawing(still: Still, *, mirrored: bool = False) -> Drawing:
    marks, sight, frame = marks_of(still), sight_of(still), frame_of(still)
    if mirrored:
        marks, sight = mirrored_marks(marks, still.width_px), mirrored_sight(sight)
    return Drawing(
        width=still.width_px,
        height=still.height_px,
        marks=marks,
        shapes=shapes_of(marks, frame, [said(mark, marks, sight) for mark in marks]),
        alt=alt_text(still, marks),
    )
