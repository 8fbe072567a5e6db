"""The share of the dose: the worked example, and a recount day by day that shares no code."""

from __future__ import annotations

import datetime
from fractions import Fraction

import pytest
from hypothesis import given as suppose
from hypothesis import strategies as st

from lessons.practice.share import Done, Given, Pause, Share, days_due, dose_share

GATE, FEET = 1, 2
LESSON = datetime.date(2025, 5, 1)
VISIT = datetime.date(2025, 5, 29)


def may(day: int) -> datetime.date:
    return datetime.date(2025, 5, day)


def example() -> Share:
    """The worked example of dose_share's docstring."""
    given = [Given(GATE, 5, LESSON, VISIT), Given(FEET, 2, LESSON, VISIT)]
    logs = [Done(FEET, may(day)) for day in (2, 4, 6, 8)]
    logs += [Done(GATE, may(3)), Done(GATE, may(5), 50), Done(GATE, may(7), 50), Done(GATE, may(7))]
    return dose_share(given, logs, LESSON, may(9))


def test_it_gives_what_the_worked_example_says():
    share = example()
    assert [drill.due_days for drill in share.drills] == [5, 2]
    assert [drill.done_days for drill in share.drills] == [2.5, 4]
    assert share.part == pytest.approx(4.5 / 7)
    assert share.percent == 64


def test_a_pause_is_not_due_as_the_second_worked_example_says():
    given = [Given(GATE, 5, LESSON, VISIT), Given(FEET, 2, LESSON, VISIT)]
    logs = [Done(FEET, may(day)) for day in (2, 4, 6, 8)]
    logs += [Done(GATE, may(3)), Done(GATE, may(5), 50), Done(GATE, may(7), 50), Done(GATE, may(7))]
    share = dose_share(given, logs, LESSON, may(9), [Pause(may(4), may(6))])
    assert [drill.due_days for drill in share.drills] == pytest.approx([20 / 7, 8 / 7])
    assert share.percent == 91


@pytest.mark.parametrize(
    ("pauses", "due"),
    [
        ([], 7),
        ([Pause(may(8), may(8))], 6),
        ([Pause(may(9), may(20))], 7),
        ([Pause(LESSON, may(9))], 0),
        ([Pause(may(3), may(5)), Pause(may(5), may(6))], 3),
    ],
)
def test_paused_days_count_once_and_only_those_that_are_over(pauses: list[Pause], due: int):
    assert days_due(Given(GATE, 7, LESSON, VISIT), LESSON, may(9), pauses) == due


def test_it_says_nothing_before_a_day_is_over():
    given = [Given(GATE, 7, LESSON, VISIT)]
    assert dose_share(given, [], LESSON, LESSON).part is None
    assert dose_share(given, [Done(GATE, LESSON)], LESSON, may(2)).part is None
    assert dose_share(given, [], LESSON, may(3)).part == 0


def test_it_says_nothing_without_drills():
    assert dose_share([], [Done(GATE, may(2))], LESSON, may(20)).part is None


def test_practice_on_the_lessons_own_day_counts_and_is_not_asked():
    given = [Given(GATE, 7, LESSON, VISIT)]
    assert dose_share(given, [Done(GATE, LESSON)], LESSON, may(3)).part == 1


def test_practice_of_today_counts_at_once():
    given = [Given(GATE, 7, LESSON, VISIT)]
    before = dose_share(given, [], LESSON, may(4)).part
    assert before == 0
    assert dose_share(given, [Done(GATE, may(4))], LESSON, may(4)).part == pytest.approx(1 / 2)


def test_a_drill_given_later_is_due_from_the_day_after():
    assert days_due(Given(GATE, 7, may(6), VISIT), LESSON, may(9)) == 2
    early_log = [Done(GATE, may(3))]
    assert dose_share([Given(GATE, 7, may(6))], early_log, LESSON, may(9)).done_days == 0


def test_a_drill_taken_away_early_is_due_until_the_day_before():
    assert days_due(Given(GATE, 7, LESSON, may(5)), LESSON, may(20)) == 3
    assert days_due(Given(GATE, 7, LESSON, LESSON), LESSON, may(20)) == 0
    logs = [Done(GATE, may(2)), Done(GATE, may(4)), Done(GATE, may(12))]
    assert dose_share([Given(GATE, 7, LESSON, may(5))], logs, LESSON, may(20)).done_days == 2


def test_it_stands_still_once_the_next_visit_is_over():
    given = [Given(GATE, 5, LESSON, may(15))]
    logs = [Done(GATE, may(day)) for day in (2, 5, 15, 16, 17)]
    on_the_day = dose_share(given, logs, LESSON, may(15))
    assert on_the_day.due_days == pytest.approx(13 * 5 / 7)
    assert on_the_day == dose_share(given, logs, LESSON, may(30))


def test_more_than_set_of_one_cannot_hide_another_left_aside():
    given = [Given(GATE, 3, LESSON), Given(FEET, 3, LESSON)]
    logs = [Done(FEET, may(day), 300) for day in range(2, 16)]
    share = dose_share(given, logs, LESSON, may(16))
    assert share.part == pytest.approx(1 / 2)
    assert [drill.is_left_aside for drill in share.drills] == [True, False]


def test_a_day_counts_as_one_days_dose_at_most():
    given = [Given(GATE, 7, LESSON)]
    assert dose_share(given, [Done(GATE, may(2), 700)], LESSON, may(9)).done_days == 1


def test_a_drill_is_not_left_aside_before_three_doses_are_due():
    assert not dose_share([Given(GATE, 7, LESSON)], [], LESSON, may(4)).drills[0].is_left_aside
    assert dose_share([Given(GATE, 7, LESSON)], [], LESSON, may(5)).drills[0].is_left_aside


def test_percent_is_rounded_down_so_that_100_means_all():
    given = [Given(GATE, 7, LESSON)]
    logs = [Done(GATE, LESSON + datetime.timedelta(day), 100 - (day == 1)) for day in range(1, 8)]
    assert dose_share(given, logs, LESSON, may(9)).percent == 99


# --- a recount, day by day, with exact fractions --------------------------------------------
def recount(
    assignments: list[Given], logs: list[Done], start: datetime.date, today: datetime.date
) -> Fraction | None:
    due_of_all = counted_of_all = Fraction(0)
    for given in assignments:
        first = given.given_on if given.given_on > start else start
        due = done = Fraction(0)
        day = first
        while day <= today:
            ended = given.until is not None and day >= given.until
            if day != first and day != today and not ended:
                due += Fraction(given.days_a_week, 7)
            if given.until is None or day <= given.until:
                percent = sum(log.percent for log in logs if (log.key, log.day) == (given.key, day))
                done += Fraction(percent, 100) if percent < 100 else 1
            day += datetime.timedelta(days=1)
        due_of_all += due
        counted_of_all += done if done < due else due
    return counted_of_all / due_of_all if due_of_all else None


days = st.integers(-5, 45).map(lambda n: LESSON + datetime.timedelta(n))
drills = st.lists(
    st.builds(
        Given,
        key=st.integers(1, 4),
        days_a_week=st.integers(1, 7),
        given_on=days,
        until=st.none() | days,
    ),
    max_size=4,
    unique_by=lambda given: given.key,
)
entries = st.lists(
    st.builds(Done, key=st.integers(1, 5), day=days, percent=st.integers(1, 1000)), max_size=60
)


@suppose(drills, entries, days)
def test_it_agrees_with_a_recount_day_by_day(
    assignments: list[Given], logs: list[Done], today: datetime.date
):
    part = dose_share(assignments, logs, LESSON, today).part
    expected = recount(assignments, logs, LESSON, today)
    assert part == (None if expected is None else pytest.approx(float(expected)))


@suppose(drills, entries, days, st.builds(Done, key=st.integers(1, 5), day=days))
def test_practising_more_never_lowers_it(
    assignments: list[Given], logs: list[Done], today: datetime.date, another: Done
):
    before = dose_share(assignments, logs, LESSON, today).part
    after = dose_share(assignments, [*logs, another], LESSON, today).part
    assert (before is None and after is None) or 0 <= before <= after <= 1


@suppose(drills, entries, days)
def test_the_order_of_logs_does_not_matter(
    assignments: list[Given], logs: list[Done], today: datetime.date
):
    there = dose_share(assignments, logs, LESSON, today)
    back = dose_share(assignments, list(reversed(logs)), LESSON, today)
    assert [d.done_days for d in there.drills] == pytest.approx([d.done_days for d in back.drills])
