"""Pages about stills and what is drawn on them."""

from __future__ import annotations

from lessons.marks.views.measures import measures
from lessons.marks.views.sets import (
    bring_back_set,
    copy,
    keep_set,
    named_set,
    remove_set,
    sets,
    take_back_copies,
)
from lessons.marks.views.still import caption, marked, marking_error, marks, still

__all__ = [
    "bring_back_set",
    "caption",
    "copy",
    "keep_set",
    "marked",
    "marking_error",
    "marks",
    "measures",
    "named_set",
    "remove_set",
    "sets",
    "still",
    "take_back_copies",
]
