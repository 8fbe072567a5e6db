"""The practice ruler: its ticks, its counts, and that its words say what it draws."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

import pytest
from hypothesis import given as suppose
from hypothesis import strategies as st

from lessons.practice.ruler import MARGIN, MOST_DAYS, WIDTH, level_of, ruler

LESSON = datetime.date(2025, 5, 1)


@dataclass
class Visit:
    date: datetime.date = LESSON
    next_visit: datetime.date | None = datetime.date(2025, 5, 29)


@dataclass
class Entry:
    day: datetime.date
    percent: int = 100


def may(day: int) -> datetime.date:
    return datetime.date(2025, 5, day)


def test_it_has_a_tick_a_day_from_the_lesson_to_the_next_visit():
    ticks = ruler(Visit(), [], may(10)).ticks
    assert [tick.day for tick in ticks] == [may(day) for day in range(1, 30)]
    assert [tick.when for tick in ticks] == ["past"] * 9 + ["today"] + ["ahead"] * 19


def test_it_fills_days_with_practice_and_leaves_the_rest_thin():
    ticks = ruler(Visit(), [Entry(may(3)), Entry(may(10))], may(10)).ticks
    filled = [tick for tick in ticks if tick.level]
    assert [tick.day for tick in filled] == [may(3), may(10)]
    assert [tick.kind for tick in filled] == ["past filled", "today filled"]
    rest = next(tick for tick in ticks if not tick.level)
    assert filled[0].height > rest.height
    assert filled[0].thickness > rest.thickness


@pytest.mark.parametrize(
    ("percent", "drills", "level"),
    [(0, 2, 0), (50, 2, 1), (99, 2, 1), (100, 2, 2), (200, 2, 3), (201, 2, 4), (100, 0, 3)],
)
def test_more_practice_is_taller(percent: int, drills: int, level: int):
    assert level_of(percent, drills) == level


def test_it_counts_days_that_are_over_and_today_once_practised():
    logs = [Entry(may(day)) for day in (2, 3, 3, 5, 8)]
    assert ruler(Visit(), logs, may(10)).practice_words.startswith("Practised on 4 of 8 days")
    logs.append(Entry(may(10)))
    assert ruler(Visit(), logs, may(10)).practice_words.startswith("Practised on 5 of 9 days")


def test_the_lessons_own_day_counts_only_if_practised():
    assert ruler(Visit(), [], may(2)).counted_days == 0
    own_day = ruler(Visit(), [Entry(LESSON)], LESSON)
    assert (own_day.practised_days, own_day.counted_days) == (1, 1)


def test_its_words_say_what_it_draws():
    assert ruler(Visit(), [Entry(may(3))], may(10)).words == (
        "Practised on 1 of 8 days since the lesson on Thursday 1 May; "
        "19 days until Thursday 29 May."
    )
    assert ruler(Visit(), [], may(29)).visit_words == "next lesson today, Thursday 29 May"
    assert ruler(Visit(), [], may(31)).visit_words == "the next lesson was due on Thursday 29 May"
    assert ruler(Visit(), [], LESSON).practice_words.startswith("Nothing to show yet")
    assert ruler(Visit(), [], may(4)).practice_words.startswith("No practice logged since")


def test_it_ends_at_the_next_visit_when_that_is_over():
    late = ruler(Visit(), [Entry(may(30))], may(31))
    assert late.ticks[-1].day == may(29)
    assert late.today_tick is None
    assert (late.practised_days, late.counted_days) == (0, 27)


def test_without_a_next_visit_it_draws_four_weeks_or_until_today():
    open_end = ruler(Visit(next_visit=None), [], may(3))
    assert len(open_end.ticks) == 29
    assert open_end.visit_tick is None
    assert open_end.visit_words == "no date yet for the next lesson"
    assert ruler(Visit(next_visit=None), [], datetime.date(2025, 7, 1)).today_tick is not None


def test_a_very_long_time_shows_its_last_days():
    long_ago = ruler(Visit(next_visit=None), [], datetime.date(2026, 5, 1))
    assert len(long_ago.ticks) == MOST_DAYS
    assert long_ago.ticks[-1].when == "today"
    assert long_ago.counted_days == 364


def test_days_of_rest_lie_flat_and_are_not_counted_against_anyone():
    resting = [may(3), may(4), may(5)]
    drawn = ruler(Visit(), [Entry(may(5))], may(10), pauses=[resting])
    assert (drawn.practised_days, drawn.counted_days, drawn.paused_days) == (1, 6, 2)
    assert drawn.practice_words.endswith("Thursday 1 May, and 2 days of rest")
    flat = next(tick for tick in drawn.ticks if tick.day == may(3))
    assert (flat.height, flat.kind) == (2.0, "past rest")


def test_a_next_visit_on_the_lessons_day_still_draws():
    assert len(ruler(Visit(next_visit=LESSON), [], may(3)).ticks) == 1


@suppose(
    st.none() | st.integers(0, 200),
    st.integers(0, 260),
    st.lists(st.integers(-3, 260), max_size=40),
)
def test_ticks_stand_inside_the_drawing_and_never_count_more_than_there_are(
    visit: int | None, passed: int, practised: list[int]
):
    def day(n: int) -> datetime.date:
        return LESSON + datetime.timedelta(n)

    lesson = Visit(next_visit=None if visit is None else day(visit))
    drawn = ruler(lesson, [Entry(day(n)) for n in practised if n <= passed], day(passed))
    assert all(MARGIN <= tick.x <= WIDTH - MARGIN + 0.01 for tick in drawn.ticks)
    steps = [b.x - a.x for a, b in zip(drawn.ticks, drawn.ticks[1:], strict=False)]
    assert all(step > drawn.ticks[0].width for step in steps)
    assert 0 <= drawn.practised_days <= drawn.counted_days
    assert sum(tick.when == "today" for tick in drawn.ticks) <= 1
