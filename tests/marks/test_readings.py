"""Readings: the geometry against shapely, the plus-or-minus against a Monte-Carlo run."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from shapely import LineString, Point
from shapely.affinity import rotate

from lessons.marks import readings

U = 3.0
SEEDS = range(40)


def some_points(seed: int, count: int) -> list[tuple[float, float]]:
    """Points of a still, no two nearer than 60 pixels."""
    random = np.random.default_rng(seed)
    while True:
        points = random.uniform(100, 1800, (count, 2))
        gaps = [np.hypot(*(a - b)) for i, a in enumerate(points) for b in points[:i]]
        if min(gaps) > 60:
            return [(float(x), float(y)) for x, y in points]


@pytest.mark.parametrize("seed", SEEDS)
def test_a_line_turned_by_its_reading_is_level_or_upright(seed: int):
    """Source: shapely.affinity.rotate. y points down, so its positive turn looks clockwise."""
    a, b = some_points(seed, 2)
    rise, lean = readings.level(a, b, 1, U), readings.upright(a, b, 1, U)
    assert rise is not None
    assert lean is not None
    (_, y), (_, y2) = rotate(LineString([a, b]), rise[0]).coords
    assert y == pytest.approx(y2, abs=1e-6)
    (x, _), (x2, _) = rotate(LineString([a, b]), -lean[0]).coords
    assert x == pytest.approx(x2, abs=1e-6)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_line_turned_onto_another_is_parallel(seed: int):
    a, b, c, d = some_points(seed, 4)
    read = readings.between_lines(a, b, c, d, U)
    assert read is not None
    other = np.subtract(d, c)
    crosses = []
    for turn in (read[0], -read[0]):
        p, q = rotate(LineString([a, b]), turn).coords
        way = np.subtract(q, p)
        crosses.append(abs(way[0] * other[1] - way[1] * other[0]))
    assert min(crosses) / np.hypot(*other) / LineString([a, b]).length == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize("seed", SEEDS)
def test_lengths_and_distances_are_shapelys(seed: int):
    p, a, b, r, s = some_points(seed, 5)
    by = readings.scale(r, s, 1000, U)
    assert by is not None
    assert by.mm == pytest.approx(1000 / LineString([r, s]).length)
    length = readings.length_cm(a, b, by, U)
    off = readings.off_cm(p, a, b, 1, by, U)
    assert length is not None
    assert off is not None
    assert length[0] == pytest.approx(LineString([a, b]).length * by.mm / 10)
    way = np.subtract(b, a) * 100
    endless = LineString([a - way, a + way])
    assert abs(off[0]) == pytest.approx(Point(p).distance(endless) * by.mm / 10)


@pytest.mark.parametrize("seed", SEEDS)
def test_above_is_above(seed: int):
    """Straight over the spot where a flat line passes under the point, and never else."""
    p, a, b = some_points(seed, 3)
    if readings.is_steep(a, b) or a[0] == b[0]:
        return
    share = (p[0] - a[0]) / (b[0] - a[0])
    line_y = a[1] + share * (b[1] - a[1])
    for side in (1, -1):
        off = readings.off_deg(p, a, b, side, U)
        assert off is not None
        assert (off[0] > 0) == (p[1] < line_y)


@pytest.mark.parametrize("side", [1, -1])
def test_a_steep_line_has_sides(side: int):
    for a, b in [((100, 400), (100, 50)), ((100, 50), (100, 400)), ((100, 400), (120, 50))]:
        off = readings.off_deg((300, 200), a, b, side, U)
        assert off is not None
        assert (off[0] > 0) == (side > 0)


READERS: list[tuple[str, int, Callable[..., readings.Reading | None]]] = [
    ("level", 2, lambda a, b: readings.level(a, b, 1, U)),
    ("upright", 2, lambda a, b: readings.upright(a, b, 1, U)),
    ("corner", 3, lambda a, b, c: readings.corner(a, b, c, U)),
    ("lines", 4, lambda a, b, c, d: readings.between_lines(a, b, c, d, U)),
    ("length", 4, lambda a, b, r, s: readings.length_cm(a, b, _scale(r, s), U)),
    ("off", 3, lambda p, a, b: readings.off_deg(p, a, b, 1, U)),
    ("off_cm", 5, lambda p, a, b, r, s: readings.off_cm(p, a, b, 1, _scale(r, s), U)),
]


def _scale(r: tuple[float, float], s: tuple[float, float]) -> readings.Scale:
    by = readings.scale(r, s, 1000, U)
    assert by is not None
    return by


@pytest.mark.parametrize("seed", [3, 5, 8])
@pytest.mark.parametrize(("name", "count", "read"), READERS, ids=[name for name, *_ in READERS])
def test_the_error_is_that_of_a_monte_carlo_run(
    name: str, count: int, read: Callable[..., readings.Reading | None], seed: int
):
    """4,000 markings, each coordinate off with a standard deviation of U / 2 (k = 2): twice the
    readings' standard deviation is the error given, within 8 % (3.5 standard errors of the run).

    Where a reading folds over (a line near upright goes from 90 to -90), it is unfolded first.
    """
    points = np.array(some_points(seed, count))
    truth = read(*map(tuple, points))
    assert truth is not None
    random = np.random.default_rng(seed + 100)
    values = []
    for _ in range(4000):
        moved = points + random.normal(0, U / 2, points.shape)
        once = read(*map(tuple, moved))
        assert once is not None
        off = once[0] - truth[0]
        values.append(off - 180 * round(off / 180) if name in {"level", "upright"} else off)
    assert 2 * np.std(values) == pytest.approx(truth[1], rel=0.08)


@pytest.mark.parametrize("length", [0, 5, 11.9])
def test_what_is_too_short_is_not_measured(length: float):
    a, b, far = (100.0, 100.0), (100.0 + length, 100.0), (100.0, 900.0)
    by = readings.Scale(1, 0)
    assert readings.level(a, b, 1, U) is None
    assert readings.upright(a, b, 1, U) is None
    assert readings.corner(b, a, far, U) is None
    assert readings.between_lines(a, b, a, far, U) is None
    assert readings.scale(a, b, 42.67, U) is None
    assert readings.length_cm(a, b, by, U) is None
    assert readings.off_cm(far, a, b, 1, by, U) is None
    assert readings.off_deg(far, a, b, 1, U) is None


@pytest.mark.parametrize(
    ("before", "after", "turn", "by"),
    [((10, 3), (14, 4), 0, 4), ((89, 3), (-89, 4), 180, 2), ((-89, 3), (89, 4), 180, -2)],
)
def test_a_change_goes_the_short_way_round(before, after, turn: float, by: float):
    """The 3-4-5 triangle's error."""
    assert readings.change(before, after, turn) == (pytest.approx(by), pytest.approx(5))
