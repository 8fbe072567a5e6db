from __future__ import annotations

import datetime

import pytest

from lessons.practice.weeks import week_of

FRIDAY = datetime.date(2025, 5, 2)


@pytest.mark.parametrize(
    ("day", "first", "last"),
    [(2, 2, 9), (3, 2, 9), (9, 2, 9), (10, 10, 16), (16, 10, 16), (17, 17, 23)],
)
def test_weeks_are_counted_from_the_lesson(day: int, first: int, last: int):
    week = week_of(FRIDAY, datetime.date(2025, 5, day))
    assert (week.first.day, week.last.day) == (first, last)


def test_every_day_lies_in_its_own_week():
    for step in range(60):
        day = FRIDAY + datetime.timedelta(step)
        assert day in week_of(FRIDAY, day)
