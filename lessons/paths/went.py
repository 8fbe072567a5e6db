"""A path's kept places, and looking things up in them."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import groupby

from media_tools.followed import SURE


@dataclass(frozen=True)
class Place:
    """Where the patch was in one frame; pixels of the cut, time on the clip's clock.

    error_px: its plus-or-minus, more where it is not sure.
    """

    time_us: int
    x: float
    y: float
    confidence: float
    scale: float
    error_px: float

    @property
    def is_sure(self) -> bool:
        return self.confidence >= SURE


@dataclass(frozen=True)
class Run:
    """A stretch of a line in which the patch was found; dotted where that is unsure."""

    points: str  # as SVG takes them
    is_sure: bool


@dataclass(frozen=True)
class Went:
    """One place for each frame, None where the patch was not found."""

    times_us: tuple[int, ...]
    places: tuple[Place | None, ...]

    @classmethod
    def of(cls, rows: Sequence[Sequence[float | None]]) -> Went:
        """From `Path.places`."""
        places: list[Place | None] = []
        for time_us, x, y, sure, scale, error in rows:
            if x is None or y is None:
                places.append(None)
            else:
                places.append(
                    Place(int(time_us or 0), x, y, sure or 0.0, scale or 1.0, error or 0.0)
                )
        return cls(tuple(int(row[0] or 0) for row in rows), tuple(places))

    @property
    def there(self) -> list[Place]:
        return [place for place in self.places if place]

    def at(self, time_us: int) -> Place | None:
        """Where it was in the frame shown at a time; None outside of the path, too."""
        if not self.times_us or time_us < self.times_us[0]:
            return None
        index = bisect_right(self.times_us, time_us) - 1
        # After the last frame only as long as one lasts
        if time_us > self.times_us[-1] + (self.times_us[-1] - self.times_us[-2:][0]):
            return None
        return self.places[index]

    def shown_us(self, time_us: int) -> int:
        """When the frame begins that is shown at a time within the path."""
        return self.times_us[max(0, bisect_right(self.times_us, time_us) - 1)]

    @property
    def gaps(self) -> list[tuple[int, int]]:
        """When each stretch began and ended in which it was not found."""
        found = []
        for is_lost, run in groupby(range(len(self.places)), key=lambda n: self.places[n] is None):
            numbers = list(run)
            if is_lost:
                found.append((self.times_us[numbers[0]], self.times_us[numbers[-1]]))
        return found

    def counted(self, begin_us: int, end_us: int) -> tuple[int, int]:
        """In how many frames of a span it was found, and how many there are."""
        first = bisect_right(self.times_us, begin_us) - 1  # the frame shown at its begin counts
        after = bisect_right(self.times_us, end_us)
        span = self.places[max(0, first) : after]
        return sum(place is not None for place in span), len(span)

    def share(self, begin_us: int, end_us: int) -> float:
        """Of the frames of a span, those in which it was found; 0 where there are none."""
        found, frames = self.counted(begin_us, end_us)
        return found / frames if frames else 0.0

    def runs(self, point: Callable[[Place], tuple[float, float]]) -> tuple[Run, ...]:
        """The found stretches; one that becomes sure or unsure begins where the last ended."""
        runs: list[Run] = []
        held: list[Place] = []
        for place in (*self.places, None):
            if held and (place is None or place.is_sure != held[-1].is_sure):
                points = " ".join("{:.1f},{:.1f}".format(*point(one)) for one in held)
                runs.append(Run(points, held[-1].is_sure))
                held = held[-1:] if place else []
            if place:
                held.append(place)
        return tuple(runs)
