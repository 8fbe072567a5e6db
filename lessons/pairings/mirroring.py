"""Marks on a mirrored picture: they change sides, their words stay readable."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from lessons.marks.mark import Mark
from lessons.marks.sight import Sight

OTHER_HAND = {"left": "right", "right": "left"}


def mirrored_marks(marks: Sequence[Mark], width_px: float) -> list[Mark]:
    """The marks where they lie once the picture is mirrored."""
    return [
        replace(mark, points=tuple((width_px - x, y) for x, y in mark.points)) for mark in marks
    ]


def mirrored_sight(sight: Sight) -> Sight:
    """A left-handed player in a mirrored picture stands as a right-handed one does.

    Without a known view, what was to the right is to the left: nothing is said of a target.
    """
    return replace(sight, handed=OTHER_HAND[sight.handed])
