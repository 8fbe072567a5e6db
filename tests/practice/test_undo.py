"""practice:undo, taking a log back."""

from __future__ import annotations

from django.test import Client
from django.urls import reverse

from lessons.drills.models import Assignment
from lessons.practice.models import Log
from tests import factories
from tests.practice.conftest import HTMX


def address(log: Log) -> str:
    return reverse("practice:undo", args=[log.pk])


def test_it_takes_the_log_back_and_offers_the_tap_again(as_student: Client, log: Log):
    answer = as_student.post(address(log), headers=HTMX)
    assert not Log.objects.standing().exists()
    page = answer.content.decode()
    assert f'aria-label="Done today: {log.assignment.name}"' in page
    assert "0 of 5 days this week" in page


def test_a_second_tap_changes_nothing(as_student: Client, log: Log):
    as_student.post(address(log), headers=HTMX)
    undone_at = Log.objects.get().undone_at
    assert as_student.post(address(log), headers=HTMX).status_code == 200
    assert Log.objects.get().undone_at == undone_at


def test_without_htmx_it_leads_back_to_the_lesson(as_student: Client, log: Log):
    answer = as_student.post(address(log))
    assert answer.status_code == 302
    assert answer["Location"].startswith(reverse("recaps:read", args=[log.assignment.lesson_id]))


def test_a_guardian_takes_back_their_childs(as_guardian: Client, juniors_drill: Assignment):
    log = factories.LogFactory(assignment=juniors_drill)
    assert as_guardian.post(address(log), headers=HTMX).status_code == 200
    assert not Log.objects.standing().exists()


def test_it_refuses_everyone_else(
    as_coach: Client,
    as_other_coach: Client,
    as_other_student: Client,
    as_guardian: Client,
    log: Log,
):
    for client in (as_coach, as_other_coach, as_other_student, as_guardian):
        assert client.post(address(log), headers=HTMX).status_code == 404
    assert Log.objects.standing().exists()


def test_it_asks_the_signed_out_to_sign_in(as_nobody: Client, log: Log):
    assert reverse("account_login") in as_nobody.post(address(log))["Location"]
    assert Log.objects.standing().exists()


def test_it_refuses_get(as_student: Client, log: Log):
    assert as_student.get(address(log)).status_code == 405


def test_it_does_not_know_a_log_that_is_not_there(as_student: Client, log: Log):
    assert as_student.post(reverse("practice:undo", args=[log.pk + 1])).status_code == 404
