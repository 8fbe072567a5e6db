from __future__ import annotations

import datetime

import pytest

from lessons.practice.words import ago_words, count, date_words, listed

TODAY = datetime.date(2025, 5, 15)


@pytest.mark.parametrize(
    ("days", "words"),
    [
        (0, "today"),
        (1, "yesterday"),
        (2, "on Tuesday"),
        (6, "on Friday"),
        (7, "7 days ago"),
        (40, "on Saturday 5 April"),
        (200, "on 27 October 2024"),
    ],
)
def test_days_are_said_as_people_say_them(days: int, words: str):
    assert ago_words(TODAY - datetime.timedelta(days), TODAY) == words


def test_a_date_of_another_year_has_its_year():
    assert date_words(datetime.date(2026, 1, 2), TODAY) == "2 January 2026"


def test_one_day_is_not_days():
    assert (count(1, "day"), count(2, "day")) == ("1 day", "2 days")


def test_names_are_listed_with_and():
    assert listed(["a"]) == "a"
    assert listed(["a", "b"]) == "a and b"
    assert listed(["a", "b", "c"]) == "a, b and c"
