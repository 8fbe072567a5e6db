"""Changing a drill."""

from __future__ import annotations

import pytest
from django.urls import reverse

from lessons.drills.models import Assignment
from tests import factories

NEW = {"name": "Sway gate, narrow", "sets": 2, "reps": 12, "days_a_week": 4}


@pytest.fixture
def drill(coach):
    return factories.DrillFactory(coach=coach, name="Sway gate")


@pytest.fixture
def url(drill):
    return reverse("drills:edit", args=[drill.pk])


def test_it_changes_the_library_and_leaves_what_was_given(as_coach, drill, url, lesson):
    given = Assignment.of(drill, lesson=lesson)
    given.save()
    assert as_coach.post(url, NEW).url == reverse("drills:drill", args=[drill.pk])
    drill.refresh_from_db()
    given.refresh_from_db()
    assert (drill.name, drill.dose) == ("Sway gate, narrow", "2 x 12, 4 days a week")
    assert (given.name, given.dose) == ("Sway gate", "3 x 10, 5 days a week")


def test_it_says_what_is_wrong_under_the_stored_name(as_coach, url):
    response = as_coach.post(url, NEW | {"name": ""})
    assert response.status_code == 422
    assert "<h1>Sway gate</h1>" in response.content.decode()


def test_it_refuses_everybody_else(as_other_coach, as_student, url, drill):
    for client in (as_other_coach, as_student):
        assert client.get(url).status_code == 404
        assert client.post(url, NEW).status_code == 404
    drill.refresh_from_db()
    assert drill.name == "Sway gate"


def test_it_sends_the_signed_out_to_sign_in(as_nobody, url):
    assert as_nobody.get(url).status_code == 302


def test_it_rejects_delete(as_coach, url):
    assert as_coach.delete(url).status_code == 405
