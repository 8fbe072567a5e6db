"""The marks of a still, made ready for a template to write as SVG."""

from __future__ import annotations

from dataclasses import dataclass

from lessons.clips.models import Still
from lessons.marks.mark import Mark, numbers_of
from lessons.marks.measures import Measure, said, shown_measure
from lessons.marks.service import frame_of, marks_of, sight_of
from lessons.marks.shapes import Shape, shapes_of
from lessons.marks.sight import Sight


@dataclass(frozen=True)
class Drawing:
    """A still's shapes, and what they say to those who don't see them."""

    width: int
    height: int
    marks: list[Mark]
    shapes: list[Shape]
    alt: str
    # What it is called, and what it says
    measured: tuple[tuple[str, Measure], ...] = ()

    @property
    def named(self) -> list[tuple[Mark, str]]:
        """Each mark with what it is called among the others."""
        numbers = numbers_of(self.marks)
        return [(mark, mark.words_as(numbers[mark.id])) for mark in self.marks]

    @property
    def has_measure(self) -> bool:
        """Whether a number stands on the picture, which needs its caution beside it."""
        return any(mark.kind in {"angle", "ruler"} for mark in self.marks) or bool(self.measured)

    @property
    def has_length(self) -> bool:
        return any(mark.kind == "ruler" for mark in self.marks)


def drawing_of(still: Still) -> Drawing:
    """What templates/marks/_still.html draws for a still."""
    marks = marks_of(still)
    frame = frame_of(still)
    # Most stills measure nothing: they need not ask who stands before the camera
    sight = sight_of(still) if any(mark.may_measure for mark in marks) else Sight()
    numbers = numbers_of(marks)
    shown = [
        (mark.text or mark.words_as(numbers[mark.id]), shown_measure(mark, marks, sight))
        for mark in marks
    ]
    return Drawing(
        width=still.width_px,
        height=still.height_px,
        marks=marks,
        shapes=shapes_of(marks, frame, [said(mark, marks, sight) for mark in marks]),
        alt=alt_text(still, marks),
        measured=tuple((name, measure) for name, measure in shown if measure),
    )


def alt_text(still: Still, marks: list[Mark]) -> str:
    """The still's title and its marks in words: 'P4 top. Marked: angle, 32 degrees; line.'"""
    title = still.title.rstrip(".")
    if not marks:
        return f"{title}."
    words = "; ".join(mark.words[0].lower() + mark.words[1:] for mark in marks)
    return f"{title}. Marked: {words}."
