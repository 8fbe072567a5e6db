"""How practice felt over time, as a small plot made on the server. Pure.

Lengths are in units of the drawing's own box, WIDTH x HEIGHT; templates/board/_feel.html only
repeats them. A point a day on which the student said how it felt (the mean if there were
several), from 1 'strange' at the foot to 5 'natural' at the top.
"""

from __future__ import annotations

import datetime
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Protocol

from lessons.practice.models import Log
from lessons.practice.words import count

WIDTH, HEIGHT = 120.0, 36.0
MARGIN = 4.0
LOWEST, HIGHEST = 1, 5


class Entry(Protocol):
    """What the plot needs of a log."""

    day: datetime.date
    felt: int | None


@dataclass(frozen=True)
class Point:
    """One day's feel, and where it stands in the drawing."""

    day: datetime.date
    felt: float
    x: float
    y: float


@dataclass(frozen=True)
class FeelPlot:
    """The points, oldest first; how often the student said how it felt."""

    points: tuple[Point, ...]
    told: int

    width, height = WIDTH, HEIGHT
    middle = HEIGHT / 2

    @property
    def line(self) -> str:
        """The path through the points, as SVG data."""
        return "M" + "L".join(f"{point.x} {point.y}" for point in self.points)

    @property
    def last_words(self) -> str:
        return feel_words(self.points[-1].felt)

    @property
    def words(self) -> str:
        """The same as the drawing: 'Felt so-so at first, good lately; told 6 times.'"""
        told = "told once" if self.told == 1 else f"told {count(self.told, 'time')}"
        first, last = feel_words(self.points[0].felt), self.last_words
        if len(self.points) == 1:
            return f"Felt {last}; {told}."
        if first == last:
            return f"Felt {first} at first and lately; {told}."
        return f"Felt {first} at first, {last} lately; {told}."


def feel_words(felt: float) -> str:
    """The word nearest to a mean feel; halves go to the better one."""
    return str(Log.Felt(max(LOWEST, min(HIGHEST, int(felt + 0.5)))).label)


def feel_plot(
    entries: Iterable[Entry], first: datetime.date, last: datetime.date
) -> FeelPlot | None:
    """The plot of the days from `first` to `last`; None if nobody said how it felt."""
    said: dict[datetime.date, list[int]] = defaultdict(list)
    for entry in entries:
        if entry.felt is not None and first <= entry.day <= last:
            said[entry.day].append(entry.felt)
    if not said:
        return None
    days = max(1, (last - first).days)
    points = []
    for day, felts in sorted(said.items()):
        felt = sum(felts) / len(felts)
        x = MARGIN + (day - first).days / days * (WIDTH - 2 * MARGIN)
        part = (felt - LOWEST) / (HIGHEST - LOWEST)
        y = HEIGHT - MARGIN - part * (HEIGHT - 2 * MARGIN)
        points.append(Point(day, felt, round(x, 2), round(y, 2)))
    return FeelPlot(tuple(points), sum(len(felts) for felts in said.values()))
