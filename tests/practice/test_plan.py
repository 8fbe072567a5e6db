"""The plan of the days to come, on tables of dates: no rows, no clock."""

from __future__ import annotations

import datetime
from itertools import pairwise

import pytest
from hypothesis import given as suppose
from hypothesis import strategies as st

from lessons.practice.plan import Dose, PlanDay, plan, turns
from lessons.practice.share import Done, Given, Pause

LESSON = datetime.date(2025, 5, 1)  # a Thursday
VISIT = datetime.date(2025, 5, 29)
GATE, FEET, LADDER = 1, 2, 3


def may(day: int) -> datetime.date:
    return datetime.date(2025, 5, day)


def dose(key: int, days_a_week: int, minutes: int = 5, given=LESSON, until=VISIT, **more) -> Dose:
    return Dose(Given(key, days_a_week, given, until), minutes=minutes, **more)


def days_of(made: list[PlanDay], key: int) -> list[int]:
    return [day.day.day for day in made if key in day.keys and day.day.month == 5]


@pytest.mark.parametrize(
    ("days_a_week", "expected"),
    [
        (1, [2, 9, 16, 23]),
        (2, [2, 5, 9, 12, 16, 19, 23, 26]),
        (3, [2, 4, 6, 9, 11, 13, 16, 18, 20, 23, 25, 27]),
        (5, [2, 3, 4, 6, 7, 9, 10, 11, 13, 14, 16, 17, 18, 20, 21, 23, 24, 26, 27]),
        (7, list(range(2, 29))),
    ],
)
def test_it_spreads_the_dose_over_each_week_and_never_bunches_it(
    days_a_week: int, expected: list[int]
):
    """Spread practice: Cepeda et al. 2006 (from memory), direction only."""
    made = plan([dose(GATE, days_a_week)], [], LESSON, LESSON, next_visit=VISIT)
    assert days_of(made, GATE) == expected


# what is said, what changes, the days planned from 9 May on
MOVED = [
    ("as set", {}, [9, 11, 13, 16, 18, 20, 23, 25, 27]),
    ("the next visit comes sooner", {"until": may(14)}, [9, 11]),
    ("the next visit comes later", {"until": datetime.date(2025, 6, 5)}, [*range(9, 15, 2)]),
    ("taken away half-way", {"until": may(12)}, [9]),
    ("given later, half-way through a week", {"given": may(12)}, [13]),
]


@pytest.mark.parametrize(("said", "change", "first"), MOVED, ids=[row[0] for row in MOVED])
def test_a_changed_date_changes_the_plan_from_then_on(said: str, change: dict, first: list[int]):
    made = plan(
        [dose(GATE, 3, **change)], [], LESSON, may(9), next_visit=change.get("until", VISIT)
    )
    assert days_of(made, GATE)[: len(first)] == first


def test_a_lesson_posted_late_asks_from_the_day_after_it_could_be_read():
    posted = may(6)
    made = plan([dose(GATE, 5, given=posted)], [], LESSON, posted, next_visit=VISIT)
    first_week = [day for day in days_of(made, GATE) if day <= 8]
    # Two days are left of the week, so one or two of the five are asked, not all
    assert days_of(made, GATE)[0] == 7
    assert len(first_week) <= 2


def test_practice_done_is_not_asked_again_and_a_missed_day_is_not_made_up_for_next_week():
    done = [Done(GATE, may(day)) for day in (2, 3, 4, 5, 6)]
    made = plan([dose(GATE, 5)], done, LESSON, may(7), next_visit=VISIT)
    assert days_of(made, GATE)[0] == 9
    nothing_done = plan([dose(GATE, 5)], [], LESSON, may(9), next_visit=VISIT)
    assert [day for day in days_of(nothing_done, GATE) if day <= 15] == [9, 10, 11, 13, 14]


def test_todays_list_stays_as_it_was_when_one_of_it_is_done():
    doses = [dose(GATE, 5), dose(FEET, 3)]
    before = plan(doses, [], LESSON, may(2), next_visit=VISIT)[0]
    after = plan(doses, [Done(GATE, may(2))], LESSON, may(2), next_visit=VISIT)[0]
    assert before == after


def test_rest_pauses_it_and_shrinks_the_weeks_dose():
    pauses = [Pause(may(2), may(5))]
    made = plan([dose(GATE, 7)], [], LESSON, may(2), next_visit=VISIT, pauses=pauses)
    assert [day.is_paused for day in made[:5]] == [True] * 4 + [False]
    five = plan([dose(GATE, 5)], [], LESSON, may(2), next_visit=VISIT, pauses=pauses)
    # 3 of 7 days are open: 5 a week become 2
    assert [day for day in days_of(five, GATE) if day <= 8] == [6, 7]


def test_what_does_not_fit_waits_for_another_day_and_gets_its_turn():
    doses = [dose(GATE, 5, 15), dose(FEET, 5, 15), dose(LADDER, 2, 15)]
    made = plan(doses, [], LESSON, may(2), minutes=20, next_visit=VISIT)
    assert all(day.minutes <= 20 for day in made)
    assert made[0].waiting
    assert all(days_of(made, key) for key in (GATE, FEET, LADDER))


def test_one_drill_is_asked_even_if_it_takes_longer_than_the_minutes():
    made = plan([dose(GATE, 7, 40)], [], LESSON, may(2), minutes=10, next_visit=VISIT)
    assert made[0].keys == (GATE,)
    assert made[0].minutes == 40


def test_nothing_is_planned_from_the_next_visit_on():
    assert plan([dose(GATE, 7)], [], LESSON, VISIT, next_visit=VISIT) == []
    assert plan([dose(GATE, 7)], [], LESSON, datetime.date(2025, 6, 3), next_visit=VISIT) == []


def test_without_a_next_visit_it_looks_two_weeks_ahead():
    made = plan([dose(GATE, 7, until=None)], [], LESSON, may(2))
    assert (len(made), made[-1].keys) == (14, (GATE,))


def test_a_visit_years_away_does_not_make_it_plan_for_years():
    far = datetime.date(2099, 1, 1)
    assert len(plan([dose(GATE, 7, until=far)], [], LESSON, may(2), next_visit=far)) == 42


def test_drills_take_turns():
    """Interleaving: Shea and Morgan 1979 (from memory), direction only."""
    doses = [dose(GATE, 5, 0, sets=3, reps=10), dose(FEET, 5, 0, sets=3, reps=8)]
    made = turns(doses, may(2))
    assert all(one.key != two.key for one, two in pairwise(made))
    assert [(t.number, t.of) for t in made if t.key == GATE] == [(1, 3), (2, 3), (3, 3)]
    assert {t.reps for t in made if t.key == FEET} == {8}
    assert turns([], may(2)) == []


def test_another_drill_begins_the_next_day():
    doses = [dose(GATE, 5), dose(FEET, 5)]
    assert turns(doses, may(2))[0].key != turns(doses, may(3))[0].key


def test_minutes_are_divided_into_turns_of_five_at_most():
    made = turns([dose(GATE, 5, 12)], may(2))
    assert [turn.seconds for turn in made] == [240, 240, 240]


@pytest.mark.parametrize(
    ("one", "seconds"),
    [
        (dose(GATE, 5, 8), 480),
        (dose(GATE, 5, 0, sets=2, reps=10), 2 * (60 + 150)),
        (dose(GATE, 5, 0, reps=20), 60 + 300),
        (dose(GATE, 5, 0), 300),
        (dose(GATE, 5, 15, sets=3, reps=10), 900),
    ],
)
def test_how_long_a_dose_takes(one: Dose, seconds: int):
    assert one.seconds == seconds


@suppose(st.data())
def test_no_day_holds_a_drill_twice_and_no_week_more_than_its_dose(data: st.DataObject):
    doses = [
        dose(key, data.draw(st.integers(1, 7)), data.draw(st.integers(1, 30))) for key in (1, 2, 3)
    ]
    today = LESSON + datetime.timedelta(data.draw(st.integers(0, 27)))
    days = st.integers(0, 27).map(lambda step: LESSON + datetime.timedelta(step))
    done = [Done(data.draw(st.integers(1, 3)), day) for day in data.draw(st.lists(days))]
    minutes = data.draw(st.integers(5, 60))
    made = plan(doses, done, LESSON, today, minutes=minutes, next_visit=VISIT)
    for one in doses:
        for week in range(4):
            first = may(2) + datetime.timedelta(7 * week)
            span = [first + datetime.timedelta(step) for step in range(7)]
            planned = [day.day for day in made if one.key in day.keys and day.day in span]
            before = {log.day for log in done if log.key == one.key and log.day in span}
            before = {day for day in before if day < today}
            assert len(planned) <= max(0, one.given.days_a_week - len(before - {LESSON}))
    assert all(len(set(day.keys)) == len(day.keys) for day in made)
    assert all(day.seconds <= minutes * 60 or len(day.keys) == 1 for day in made)
