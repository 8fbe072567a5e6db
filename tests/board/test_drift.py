"""Who is drifting: the rule of lessons.board.drift, and its edges."""

from __future__ import annotations

import datetime

import pytest

from lessons.board.drift import Drift, drift
from lessons.practice.share import Pause

TODAY = datetime.date(2025, 5, 30)


def ago(days: int) -> datetime.date:
    return TODAY - datetime.timedelta(days)


def drift_after(*days_ago: int, given: int = 20, until: int | None = -5, **known):
    return drift(
        {ago(days) for days in days_ago},
        given_on=ago(given),
        until=None if until is None else ago(until),
        today=TODAY,
        **{"asked": 5, **known},
    )


@pytest.mark.parametrize(
    ("days", "expected"),
    [
        ((14, 13, 10, 8, 2), Drift(1, 4)),
        ((14, 13, 10, 8, 2, 1), Drift(2, 4)),  # half as many
        ((14, 13, 10, 8, 3, 2, 1), None),  # more than half
        ((10, 9), Drift(0, 2)),
        ((9,), None),  # one day before is no habit to lose
        ((15, 14, 13, 7), Drift(1, 2)),  # the eighth day and the fifteenth are the edges
        ((14, 13, 10, 0), Drift(1, 3)),  # today counts once it is logged
    ],
)
def test_the_last_seven_days_against_the_seven_before(days, expected):
    assert drift_after(*days) == expected


def test_nobody_drifts_in_the_first_two_weeks():
    assert drift_after(13, 12, 11, given=14) is None
    assert drift_after(13, 12, 11, given=15) == Drift(0, 3)


def test_nobody_drifts_who_does_what_was_asked():
    assert drift_after(14, 13, 12, 11, 3, 2, asked=2) is None
    assert drift_after(14, 13, 12, 11, 3, 2, asked=3) == Drift(2, 4)


def test_nobody_drifts_without_drills_or_after_the_next_visit():
    assert drift_after(14, 13, 12, asked=0) is None
    assert drift_after(14, 13, 12, until=1) is None
    assert drift_after(14, 13, 12, until=0) == Drift(0, 3)
    assert drift_after(14, 13, 12, until=None) == Drift(0, 3)


def test_days_before_the_lesson_and_after_today_do_not_count():
    assert drift_after(30, 29, 14, given=20) is None
    assert drift_after(14, 13, -1) == Drift(0, 2)


@pytest.mark.parametrize(
    ("first", "last", "drifts"), [(20, 15, True), (20, 14, False), (1, -3, False)]
)
def test_nobody_drifts_who_rested_in_those_two_weeks(first: int, last: int, drifts: bool):
    pause = Pause(ago(first), ago(last))
    assert (drift_after(13, 12, 11, given=30, pauses=[pause]) is not None) == drifts
