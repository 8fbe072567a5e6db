"""A small plot of one measure over the stills: a dot and its plus-or-minus for each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lessons.marks.measures import Measure

STEP, HEIGHT, PAD = 32, 56, 8


@dataclass(frozen=True)
class Dot:
    """Where a value stands, and the ends of its plus-or-minus; the plot's own units."""

    x: float
    y: float
    top: float
    bottom: float


@dataclass(frozen=True)
class Plot:
    width: int
    height: int
    dots: tuple[Dot, ...]
    zero: float | None
    alt: str

    @property
    def line(self) -> str:
        """The dots in order, as SVG's points."""
        return " ".join(f"{dot.x:.1f},{dot.y:.1f}" for dot in self.dots)


def plot_of(name: str, start: float, points: Sequence[tuple[str, float, Measure]]) -> Plot:
    """Points are (still's title, how far the value is from `start`, measure), two or more.

    Values above zero go up; the zero line is drawn where it lies within the plot.
    """
    values = [start + off for _, off, _ in points]
    errors = [measure.error for _, _, measure in points]
    least = min(value - error for value, error in zip(values, errors, strict=True))
    most = max(value + error for value, error in zip(values, errors, strict=True))
    size = (HEIGHT - 2 * PAD) / (most - least)

    def y(value: float) -> float:
        return PAD + (most - value) * size

    dots = tuple(
        Dot(STEP / 2 + n * STEP, y(value), y(value + error), y(value - error))
        for n, (value, error) in enumerate(zip(values, errors, strict=True))
    )
    said = "; ".join(f"{title} {measure.sentence}" for title, _, measure in points)
    zero = y(0) if least <= 0 <= most else None
    return Plot(STEP * len(dots), HEIGHT, dots, zero, f"{name}: {said}.")
