"""practice:more, how much a log was and how it felt."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from lessons.practice.models import Log
from lessons.practice.service import Amount, percent_of
from tests import factories
from tests.practice.conftest import HTMX


def address(log: Log) -> str:
    return reverse("practice:more", args=[log.pk])


def test_it_keeps_amount_feel_and_note(as_student: Client, log: Log):
    said = {"sets": "2", "reps": "10", "felt": "4", "note": "The stick helps."}
    answer = as_student.post(address(log), said, headers=HTMX)
    log.refresh_from_db()
    assert (log.sets, log.reps, log.minutes, log.percent) == (2, 10, None, 67)
    assert (log.felt, log.note, log.hurt) == (4, "The stick helps.", False)
    page = answer.content.decode()
    assert "Some of it done today" in page
    assert "2 x 10" in page
    assert "felt good" in page


def test_what_is_emptied_is_as_set_again(as_student: Client, log: Log):
    as_student.post(address(log), {"sets": "1"}, headers=HTMX)
    as_student.post(address(log), {}, headers=HTMX)
    log.refresh_from_db()
    assert (log.percent, log.is_as_set) == (100, True)


def test_more_than_set_is_welcome(as_student: Client, log: Log):
    answer = as_student.post(address(log), {"sets": "6"}, headers=HTMX)
    log.refresh_from_db()
    assert log.percent == 200
    assert "and more than was set" in answer.content.decode()


def test_when_something_hurt_it_says_what_to_do(as_student: Client, log: Log):
    answer = as_student.post(address(log), {"hurt": "on"}, headers=HTMX)
    assert Log.objects.get().hurt
    assert "Ask a doctor or physiotherapist" in answer.content.decode()


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"sets": "0"}, "Write 1 or more, or tap undo"),
        ({"sets": "many"}, "Write a whole number"),
        ({"reps": "501"}, "Write 500 or less"),
        ({"minutes": "-5"}, "Write 1 or more"),
        ({"felt": "6"}, "Choose one of the five"),
        ({"note": "x" * 1001}, "Keep it to 1,000 letters; this has 1001."),
    ],
)
def test_it_says_what_is_wrong_and_keeps_what_was_typed(
    as_student: Client, log: Log, fields: dict[str, str], words: str
):
    answer = as_student.post(address(log), {"minutes": "7", **fields}, headers=HTMX)
    assert answer.status_code == 422
    page = answer.content.decode()
    assert words in page
    assert "open" in page
    for value in {"minutes": "7", **fields}.values():
        assert value in page
    log.refresh_from_db()
    assert log.is_as_set


def test_without_htmx_a_wrong_form_is_a_page_of_its_own(as_student: Client, log: Log):
    answer = as_student.post(address(log), {"sets": "0", "note": "Kept words"})
    assert answer.status_code == 422
    page = answer.content.decode()
    assert "<h1>" in page
    assert "Kept words" in page


def test_without_htmx_it_leads_back_to_the_lesson(as_student: Client, log: Log):
    assert as_student.post(address(log), {"felt": "3"}).status_code == 302
    assert Log.objects.get().felt == 3


def test_it_refuses_everyone_else(
    as_coach: Client,
    as_other_coach: Client,
    as_other_student: Client,
    as_guardian: Client,
    log: Log,
):
    for client in (as_coach, as_other_coach, as_other_student, as_guardian):
        assert client.post(address(log), {"felt": "1"}, headers=HTMX).status_code == 404
    assert Log.objects.get().felt is None


def test_it_asks_the_signed_out_to_sign_in(as_nobody: Client, log: Log):
    assert reverse("account_login") in as_nobody.post(address(log))["Location"]


def test_it_refuses_get(as_student: Client, log: Log):
    assert as_student.get(address(log)).status_code == 405


@pytest.mark.parametrize(
    ("dose", "amount", "percent"),
    [
        ({"sets": 3, "reps": 10}, Amount(), 100),
        ({"sets": 3, "reps": 10}, Amount(sets=1), 33),
        ({"sets": 3, "reps": 10}, Amount(reps=20), 200),
        ({"sets": 3, "reps": 10}, Amount(minutes=20), 100),
        ({"sets": 3, "reps": 10, "minutes": 15}, Amount(minutes=5), 33),
        ({"sets": 3, "reps": 10, "minutes": 15}, Amount(sets=3, minutes=5), 100),
        ({"sets": None, "reps": 20}, Amount(reps=10), 50),
        ({"sets": 4, "reps": None}, Amount(sets=2), 50),
        ({"sets": None, "reps": None, "minutes": 30}, Amount(minutes=45), 150),
        ({"sets": None, "reps": None, "minutes": 240}, Amount(minutes=1), 1),
        ({"sets": None, "reps": 1}, Amount(sets=50, reps=500), 1000),
        ({"sets": None, "reps": None}, Amount(minutes=5), 100),
    ],
)
def test_an_amount_is_a_percent_of_the_days_dose(
    dose: dict[str, int | None], amount: Amount, percent: int
):
    assert percent_of(amount, factories.AssignmentFactory.build(lesson=None, **dose)) == percent
