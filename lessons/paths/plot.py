"""A path's drift over time as SVG: one panel sideways, one up and down, positions below."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from lessons.clips.positions import SwingPosition
from lessons.paths.drift import UP, Drift
from lessons.paths.went import Place, Run, Went

WIDTH, PANEL, GAP, FOOT = 360, 104, 14, 22
LEFT, RIGHT, PAD = 2, 8, 12
APART = 20  # between two names of positions
LEAST_SPAN_PX = 12.0  # of drift, so that stillness looks still


@dataclass(frozen=True)
class Panel:
    top: float
    bottom: float
    zero: float
    runs: tuple[Run, ...]
    ways: tuple[str, str]  # what up and down in the panel mean
    dots: tuple[tuple[float, float], ...]

    @property
    def tall(self) -> float:
        return self.bottom - self.top


@dataclass(frozen=True)
class Tick:
    x: float
    name: str  # '' where its neighbour is too near
    is_guess: bool


@dataclass(frozen=True)
class Plot:
    width: int
    height: int
    panels: tuple[Panel, ...]
    ticks: tuple[Tick, ...]
    gaps: tuple[tuple[float, float], ...]  # left edge and width
    alt: str

    @property
    def floor(self) -> float:
        """Where the panels end, and the positions' names begin."""
        return self.height - FOOT


def plot_of(
    title: str,
    went: Went,
    positions: Sequence[SwingPosition],
    drift: Drift,
    side: int,
) -> Plot:
    """The plot of a path. `side` is +1 where the first of the sideways words is to the right."""
    begin, end = went.times_us[0], went.times_us[-1]

    def x(time_us: float) -> float:
        return LEFT + (WIDTH - LEFT - RIGHT) * (time_us - begin) / max(1, end - begin)

    def sideways(place: Place) -> float:
        return side * (place.x - drift.origin.x)

    def rise(place: Place) -> float:
        return drift.origin.y - place.y

    kinds = ((sideways, drift.ways), (rise, UP))
    panels = tuple(
        _panel(n * (PANEL + GAP), value, ways, went, positions, x)
        for n, (value, ways) in enumerate(kinds)
    )
    said = "; ".join(
        f"{at.position.position} {at.sideways.sentence} and {at.rise.sentence}"
        for at in drift.at
        if at.sideways and at.rise
    )
    return Plot(
        width=WIDTH,
        height=2 * PANEL + GAP + FOOT,
        panels=panels,
        ticks=_ticks(positions, x, begin, end),
        gaps=tuple(
            (x(first_us), max(2.0, x(last_us) - x(first_us))) for first_us, last_us in went.gaps
        ),
        alt=f"{title}, drift over time from {drift.origin_words}: {said or 'no positions known'}.",
    )


def _panel(
    top: float,
    value: Callable[[Place], float],
    ways: tuple[str, str],
    went: Went,
    positions: Sequence[SwingPosition],
    x: Callable[[float], float],
) -> Panel:
    values = [value(place) for place in went.there]
    most = max(*values, LEAST_SPAN_PX)
    least = min(*values, -LEAST_SPAN_PX)
    size = (PANEL - 2 * PAD) / (most - least)

    def y(place: Place) -> float:
        return top + PAD + (most - value(place)) * size

    at = [went.at(p.time_us) for p in positions]
    return Panel(
        top=top,
        bottom=top + PANEL,
        zero=top + PAD + most * size,
        runs=went.runs(lambda place: (x(place.time_us), y(place))),
        ways=ways,
        dots=tuple((x(place.time_us), y(place)) for place in at if place),
    )


def _ticks(
    positions: Sequence[SwingPosition], x: Callable[[float], float], begin: int, end: int
) -> tuple[Tick, ...]:
    ticks: list[Tick] = []
    named = -APART * 2.0
    # The four that every coach asks for have their names first
    keep = {"P1", "P4", "P7", "P10"}
    places = {p.position: x(p.time_us) for p in positions if begin <= p.time_us <= end}
    fixed = [places[name] for name in keep if name in places]
    for p in positions:
        if p.position not in places:
            continue
        here = places[p.position]
        is_free = p.position in keep or (
            here - named >= APART and all(abs(here - f) >= APART for f in fixed)
        )
        ticks.append(Tick(here, p.position if is_free else "", p.is_guess))
        named = here if is_free else named
    return tuple(ticks)
