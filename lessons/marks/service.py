"""Keeping and reading the marks of a still."""

from __future__ import annotations

import hashlib
from typing import Any

from lessons.clips.models import Still
from lessons.marks.checking import MarksRefused, check_marks
from lessons.marks.drawing import CONSTANTS, Frame
from lessons.marks.mark import Mark
from lessons.marks.models import MarkingError, MarkSet, NamedSet
from lessons.marks.sight import ERROR_PX, Sight

SIGHT = ("mark_set", "clip__lesson__student", "clip__coach__marking_error")
LOOK = hashlib.sha256(repr(CONSTANTS).encode()).hexdigest()[:12]


class OtherVersion(Exception):
    """The marks were changed elsewhere since they were read; `kept` is what is kept now."""

    def __init__(self, kept: MarkSet) -> None:
        super().__init__("These marks were changed in another window.")
        self.kept = kept


def marks_of(still: Still) -> list[Mark]:
    """The marks on a still, lowest first; none if nothing was drawn."""
    return [Mark.from_json(row) for row in mark_set_of(still).marks]


def mark_set_of(still: Still) -> MarkSet:
    """The still's kept marks; an unsaved, empty set of version 0 if there are none."""
    try:
        return still.mark_set
    except MarkSet.DoesNotExist:
        return MarkSet(still=still)


def save_marks(still: Still, version: int, rows: Any) -> MarkSet:
    """Keep marks sent by a browser that last read `version`.

    Raises MarksRefused with a sentence for what can't be kept, OtherVersion when somebody else
    was faster. Sending the kept marks once more is no conflict: the answer had been lost.
    """
    if still.state != Still.State.READY:
        raise MarksRefused("This still is not ready to be drawn on yet.")
    marks = [mark.as_json() for mark in check_marks(rows, frame_of(still))]
    kept, _ = MarkSet.objects.get_or_create(still=still)
    if not kept.replace(version, marks) and kept.marks != marks:
        raise OtherVersion(kept)
    return kept


def frame_of(still: Still) -> Frame:
    return Frame(still.width_px, still.height_px)


def keep_named_set(still: Still, name: str) -> NamedSet:
    """The still's marks as a set of its coach."""
    return NamedSet.objects.create(
        coach_id=still.clip.coach_id,
        name=name,
        marks=mark_set_of(still).marks,
        width_px=still.width_px,
        height_px=still.height_px,
    )


def sight_of(still: Still) -> Sight:
    """How the still's camera stands to its player; a clip of the library knows no player.

    `SIGHT` is what a page of many stills selects along with them.
    """
    clip = still.clip
    try:
        error_px = float(clip.coach.marking_error.error_px)
    except MarkingError.DoesNotExist:
        error_px = ERROR_PX
    if clip.lesson is None:
        return Sight(error_px=error_px)
    return Sight(clip.view, clip.lesson.student.handed, error_px)


def marked_etag(still: Still) -> str:
    """Names one state of a marked picture: other marks or another look, another name."""
    sight = sight_of(still)
    seen = f"{sight.view}-{sight.handed}-{sight.error_px}"
    return f'"{still.pk}-{mark_set_of(still).version}-{seen}-{LOOK}"'
