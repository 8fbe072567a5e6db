"""Drift, walls and words read off a path: `lessons.paths.drift`.

The error propagation is checked against a Monte-Carlo run; geometry is plain subtraction.
"""

from __future__ import annotations

import math
import random
import statistics

import pytest

from lessons.clips.positions import SwingPosition
from lessons.marks.sight import Sight
from lessons.paths.drift import Amount, Drift, Unit, drift_of
from lessons.paths.went import Went
from media_tools.follow import error_px

FACE_ON = Sight("face-on", "right")
FRAME = 10_000
OFF_PX = error_px(100, 120)


def positions(**times_us: int) -> list[SwingPosition]:
    return [SwingPosition(name, t, False, False, "") for name, t in times_us.items()]


ALL = positions(P1=0, P4=400_000, P7=600_000, P10=900_000)


def went(way, count: int = 100) -> Went:
    """`way(frame)` is (x, y), or None where it was lost."""
    rows = []
    for n in range(count):
        at = way(n)
        found = [*at, 0.9, 1.0, OFF_PX] if at else [None, None, 0.1, None, None]
        rows.append([n * FRAME, *found])
    return Went.of(rows)


def swaying(frame: int) -> tuple[float, float]:
    """40 px to the picture's left up to frame 40, back by frame 60, then far to the right."""
    if frame <= 40:
        return 500 - frame, 300 + frame / 2
    return 460 + 2 * (frame - 40), 320 - (frame - 40)


def drift(sight: Sight = FACE_ON, unit: Unit | None = None, way=swaying, at=ALL) -> Drift:
    found = drift_of(went(way), at, sight, (100, 120), unit)
    assert found
    return found


def test_it_is_counted_from_p1_position_by_position():
    cm = Unit(0.1, 0.0, "cm")
    values = {
        at.position.position: (at.sideways.value, at.rise.value)
        for at in drift(unit=cm).at
        if at.sideways and at.rise
    }
    assert values["P1"] == (0, 0)
    assert values["P4"] == pytest.approx((-4, -2))
    assert values["P7"] == pytest.approx((0, 0))
    assert values["P10"] == pytest.approx((6, 3))


def test_the_largest_is_told_up_to_impact():
    found = drift(unit=Unit(0.1, 0.0, "cm"))
    assert found.until == "P7"
    assert found.sideways.amount.value == pytest.approx(-4)
    assert found.sideways.where == "near P4"
    assert found.rise.amount.way == "down"


@pytest.mark.parametrize(
    ("frame", "where"),
    [(10, "near P1"), (20, "between P1 and P4"), (30, "near P4"), (50, "between P4 and P7")],
)
def test_it_is_said_where_in_the_swing_it_was(frame: int, where: str):
    found = drift(way=lambda n: (600.0, 300.0) if n == frame else (500.0, 300.0))
    assert found.sideways.where == where


def test_without_an_impact_the_whole_path_counts():
    found = drift(unit=Unit(0.1, 0.0, "cm"), at=positions(P1=0, P10=900_000))
    assert found.until == ""
    assert found.sideways.amount.value == pytest.approx(7.8)


@pytest.mark.parametrize(
    ("view", "handed", "way"),
    [
        ("face-on", "right", "away from the target"),
        ("face-on", "left", "toward the target"),
        ("down-the-line", "right", "away from the ball"),
        ("down-the-line", "left", "toward the ball"),
        ("other", "right", "to the left"),
        ("other", "left", "to the left"),
    ],
)
def test_left_in_the_picture_has_the_trades_name(view: str, handed: str, way: str):
    """Common practice, no source: face-on, a right-hander's target is on the picture's right."""
    assert drift(Sight(view, handed)).sideways.amount.way == way


def test_no_direction_is_claimed_within_the_error():
    found = drift(way=lambda n: (500 + n / 50, 300.0))
    assert found.sideways.amount.way == ""
    assert found.sideways.amount.sentence.endswith("within the error")


def test_without_a_scale_it_is_told_in_box_widths():
    amount = drift().sideways.amount
    assert amount.unit == "%"
    assert amount.value == pytest.approx(-40)
    assert amount.short == "40 ±4 %"


def test_centimetres_are_told_to_a_tenth_where_the_error_bears_it():
    assert Amount(4.13, 0.42, "cm", ("up", "down")).sentence == "4.1 ±0.4 cm up"
    assert Amount(-14.13, 2.4, "cm", ("up", "down")).sentence == "14 ±2 cm down"


def test_the_error_is_that_of_a_monte_carlo_run():
    """Both places off by a normal error (error_px is twice its deviation), the scale too."""
    dice = random.Random(5)
    share, per_px = 0.06, 0.1
    told = drift(unit=Unit(per_px, share, "cm")).sideways.amount
    sigma = OFF_PX / 2
    runs = [
        (-40 + dice.gauss(0, sigma) - dice.gauss(0, sigma)) * per_px * dice.gauss(1, share / 2)
        for _ in range(40_000)
    ]
    assert told.error == pytest.approx(2 * statistics.stdev(runs), rel=0.03)


def test_where_a_place_is_less_sure_its_drift_is_off_by_more():
    rows = [[n * FRAME, 500.0 - n, 300.0, 0.5, 1.0, 3.0 if n < 40 else 9.0] for n in range(100)]
    found = drift_of(Went.of(rows), ALL, FACE_ON, (100, 120))
    assert found
    at = {each.position.position: each for each in found.at}
    # of the box's width in percent, so pixels
    assert at["P1"].sideways.error == pytest.approx(math.hypot(3, 3))
    assert at["P4"].sideways.error == pytest.approx(math.hypot(3, 9))
    assert found.sideways.amount.error == pytest.approx(math.hypot(3, 9))


def test_a_position_in_a_gap_has_no_drift():
    found = drift(way=lambda n: None if 35 < n < 45 else swaying(n))
    at = {each.position.position: each for each in found.at}
    assert at["P4"].sideways is None
    assert at["P7"].sideways is not None


def test_lost_at_p1_it_is_counted_from_where_it_was_first_found():
    found = drift(way=lambda n: None if n < 5 else swaying(n))
    assert found.origin.time_us == 5 * FRAME
    assert found.origin_words == "where it was first found"


def test_a_gap_before_impact_is_known_to_the_largest():
    assert drift().is_whole
    assert not drift(way=lambda n: None if 35 < n < 45 else swaying(n)).is_whole
    assert drift(way=lambda n: None if n > 70 else swaying(n)).is_whole


def test_most_of_it_lost_no_largest_and_no_wall_is_told():
    """What is missing may well hold the largest; half of the frames is where telling ends."""
    half = drift(way=lambda n: swaying(n) if n <= 30 else None)
    assert half.share == pytest.approx(31 / 61)
    assert half.sideways
    less = drift(way=lambda n: swaying(n) if n <= 29 else None)
    assert less.is_mostly_lost
    assert (less.sideways, less.rise, less.walls) == (None, None, ())
    assert less.at[0].sideways is not None


def test_found_nowhere_there_is_nothing_to_read():
    assert drift_of(went(lambda n: None), ALL, FACE_ON, (100, 120)) is None


def test_a_wall_stands_at_the_edge_on_the_side_it_drifted_to():
    upright, level = drift().walls
    assert upright.is_upright
    assert upright.at_px == 500 - 50
    assert upright.beyond_px == pytest.approx(-40)
    assert level.at_px == 300 + 60
    first = math.ceil(math.sqrt(2) * OFF_PX + 1e-9) * FRAME
    assert upright.first_us == first


def test_a_wall_that_was_not_clearly_crossed_is_not_crossed():
    upright, _ = drift(way=lambda n: (500 - n / 50, 300.0)).walls
    assert upright.first_us is None


def test_runs_break_at_gaps_and_where_it_becomes_unsure():
    rows = [[n * FRAME, float(n), 0, sure, 1, 3] for n, sure in enumerate([0.9, 0.9, 0.6, 0.9])]
    rows += [[40_000, None, None, 0.1, None, None], [50_000, 5.0, 0, 0.9, 1, 3]]
    runs = Went.of(rows).runs(lambda place: (place.x, place.y))
    assert [(run.points, run.is_sure) for run in runs] == [
        ("0.0,0.0 1.0,0.0", True),
        ("1.0,0.0 2.0,0.0", False),
        ("2.0,0.0 3.0,0.0", True),
        ("5.0,0.0", True),
    ]


def test_outside_of_the_path_it_is_nowhere():
    path = went(swaying, 10)
    assert path.at(-1) is None
    assert path.at(90_000 + FRAME + 1) is None
    assert path.at(95_000) is not None
    assert Went.of([]).at(0) is None
