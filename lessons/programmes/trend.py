"""The share of each lesson's dose as bars, made on the server. Pure.

Lengths are in units of the drawing's own box, `width` x HEIGHT; templates/programmes/_trend.html
only repeats them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

STEP = 64.0  # from one lesson to the next
BAR = 28.0
HEIGHT, BASE, TOP = 110.0, 88.0, 16.0


@dataclass(frozen=True)
class Bar:
    """One lesson's bar; one without a share has no height and says so."""

    label: str
    percent: int | None
    left: float

    width = BAR

    @property
    def middle(self) -> float:
        return self.left + BAR / 2

    @property
    def height(self) -> float:
        return round((BASE - TOP) * (self.percent or 0) / 100, 2)

    @property
    def top(self) -> float:
        return round(BASE - self.height, 2)

    @property
    def over(self) -> float:
        """Where the figure above the bar stands."""
        return round(self.top - 4, 2)

    @property
    def words(self) -> str:
        return "nothing due" if self.percent is None else f"{self.percent} %"


@dataclass(frozen=True)
class Trend:
    """The bars, first lesson to last."""

    bars: tuple[Bar, ...]

    height, base = HEIGHT, BASE
    label_at = HEIGHT - 6

    @property
    def width(self) -> float:
        return STEP * len(self.bars)

    @property
    def words(self) -> str:
        """The same as the drawing: 'Dose done. Lesson 1: 62 %; lesson 2: nothing due.'"""
        told = "; ".join(f"{bar.label}: {bar.words}" for bar in self.bars)
        return f"Dose done. {told}."


def trend(shares: Sequence[tuple[str, int | None]]) -> Trend | None:
    """The bars of (label, percent) pairs; None if no lesson has a share yet."""
    if all(percent is None for _, percent in shares):
        return None
    return Trend(
        tuple(
            Bar(label, percent, round(place * STEP + (STEP - BAR) / 2, 2))
            for place, (label, percent) in enumerate(shares)
        )
    )
