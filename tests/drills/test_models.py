"""Doses in words, and words that stay as given."""

from __future__ import annotations

import datetime

import pytest

from lessons.drills.models import Assignment, Drill
from tests import factories


@pytest.mark.parametrize(
    ("dose", "words"),
    [
        ({"sets": 3, "reps": 10, "days_a_week": 5}, "3 x 10, 5 days a week"),
        ({"reps": 20, "days_a_week": 7}, "1 x 20, every day"),
        ({"minutes": 10, "days_a_week": 1}, "10 minutes, 1 day a week"),
        ({"minutes": 1, "days_a_week": 2}, "1 minute, 2 days a week"),
        (
            {"sets": 4, "reps": 8, "minutes": 15, "days_a_week": 3},
            "4 x 8, about 15 minutes, 3 days a week",
        ),
        ({"days_a_week": 3}, "3 days a week"),
    ],
)
def test_a_dose_reads_as_a_person_says_it(dose, words):
    assert Drill(**dose).dose == words


def test_steps_are_the_lines_that_say_something():
    drill = Drill(steps="Set up.\n\n  Turn slowly. \n")
    assert drill.step_lines == ["Set up.", "Turn slowly."]


@pytest.mark.django_db
def test_an_assignment_keeps_the_words_and_dose_of_its_day(lesson):
    drill = factories.DrillFactory(
        coach=lesson.student.coach, name="Sway gate", feel="Turn the buckle", sets=3, reps=10
    )
    given = Assignment.of(drill, lesson=lesson)
    given.save()
    drill.feel = "Something else"
    drill.reps = 50
    drill.save()
    given.refresh_from_db()
    assert (given.name, given.feel, given.dose) == (
        "Sway gate",
        "Turn the buckle",
        "3 x 10, 5 days a week",
    )


@pytest.mark.django_db
def test_an_assignment_copies_every_word_a_drill_has():
    copied = {*Drill.TEXT_FIELDS, *Drill.DOSE_FIELDS}
    own = {"id", "coach", "archived_at", "created_at"}
    assert {field.name for field in Drill._meta.fields} == copied | own


@pytest.mark.django_db
def test_putting_aside_twice_keeps_the_first_day(coach, time_machine):
    drill = factories.DrillFactory(coach=coach)
    time_machine.move_to(datetime.datetime(2026, 5, 1, 12, tzinfo=datetime.UTC))
    drill.archive()
    time_machine.move_to(datetime.datetime(2026, 6, 1, 12, tzinfo=datetime.UTC))
    drill.archive()
    drill.refresh_from_db()
    assert drill.archived_at == datetime.datetime(2026, 5, 1, 12, tzinfo=datetime.UTC)
