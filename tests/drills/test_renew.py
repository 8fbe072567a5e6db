"""drills:renew, what was given of a drill that was improved since."""

from __future__ import annotations

import datetime

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from lessons.drills.models import Assignment, Drill
from lessons.students.models import Student
from portal.accounts.models import User
from tests import factories


@pytest.fixture
def gate(coach: User) -> Drill:
    return factories.DrillFactory(coach=coach, name="Gate", feel="Narrow")


@pytest.fixture
def given(gate: Drill, student: Student) -> Assignment:
    """Given before the drill was improved, with a dose and a note of its own."""
    lesson = factories.LessonFactory(student=student, posted=True)
    made = Assignment.of(gate, lesson=lesson, note="Slowly", days_a_week=2)
    made.save()
    Drill.objects.filter(pk=gate.pk).update(feel="Wide", caution="Room to swing")
    return made


def page_of(drill: Drill) -> str:
    return reverse("drills:renew", args=[drill.pk])


def test_the_drills_page_offers_it(as_coach: Client, gate: Drill, given: Assignment):
    page = as_coach.get(reverse("drills:drill", args=[gate.pk])).content.decode()
    assert "1 student reads older words of it." in page
    assert page_of(gate) in page


def test_it_shows_who_reads_what(as_coach: Client, gate: Drill, given: Assignment):
    page = as_coach.get(page_of(gate)).content.decode()
    assert given.lesson.student.name in page
    assert "changed: how it should feel, caution" in page


def test_it_updates_the_words_and_leaves_dose_and_note(
    as_coach: Client, gate: Drill, given: Assignment
):
    assert as_coach.post(page_of(gate), {"given": [given.pk]}).status_code == 302
    given.refresh_from_db()
    assert (given.feel, given.caution) == ("Wide", "Room to swing")
    assert (given.days_a_week, given.note) == (2, "Slowly")
    assert "Everyone who practises this drill" in as_coach.get(page_of(gate)).content.decode()


def test_those_not_chosen_keep_their_words(
    as_coach: Client, gate: Drill, given: Assignment, other_student: Student
):
    lesson = factories.LessonFactory(student=other_student, posted=True)
    other = Assignment.of(gate, lesson=lesson)  # the fixture's gate still has the old words
    other.save()
    as_coach.post(page_of(gate), {"given": [given.pk]})
    other.refresh_from_db()
    assert other.feel == "Narrow"


def test_lessons_that_are_over_are_left_alone(as_coach: Client, gate: Drill, given: Assignment):
    yesterday = timezone.localdate() - datetime.timedelta(days=1)
    type(given.lesson).objects.update(next_visit=yesterday)
    refused = as_coach.post(page_of(gate), {"given": [given.pk]})
    assert refused.status_code == 422
    assert "reads the new words already" not in as_coach.get(page_of(gate)).content.decode()
    given.refresh_from_db()
    assert given.feel == "Narrow"


@pytest.mark.parametrize(
    ("keys", "message"),
    [([], "Choose at least one student"), (["x"], "could not be read"), ([0], "Choose again.")],
)
def test_bad_input_says_what_is_wrong(
    as_coach: Client, gate: Drill, given: Assignment, keys: list[object], message: str
):
    refused = as_coach.post(page_of(gate), {"given": keys})
    assert refused.status_code == 422
    assert message in refused.content.decode()


def test_it_refuses_another_coach(as_other_coach: Client, gate: Drill, given: Assignment):
    assert as_other_coach.get(page_of(gate)).status_code == 404
    assert as_other_coach.post(page_of(gate), {"given": [given.pk]}).status_code == 404


def test_it_refuses_students(as_student: Client, gate: Drill, given: Assignment):
    assert as_student.get(page_of(gate)).status_code == 404


def test_it_asks_the_signed_out_to_sign_in(as_nobody: Client, gate: Drill):
    assert reverse("account_login") in as_nobody.get(page_of(gate))["Location"]


def test_it_refuses_put(as_coach: Client, gate: Drill):
    assert as_coach.put(page_of(gate)).status_code == 405
