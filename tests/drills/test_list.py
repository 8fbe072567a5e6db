"""The coach's library."""

from __future__ import annotations

import pytest
from django.urls import reverse
from django.utils import timezone

from tests import factories

URL = reverse("drills:list")


def test_it_says_how_to_begin_when_it_is_empty(as_coach):
    page = as_coach.get(URL).content.decode()
    assert "Your library is empty" in page
    assert reverse("drills:add") in page


def test_it_lists_drills_by_name_with_dose_and_how_often_given(as_coach, coach, lesson):
    factories.DrillFactory(coach=coach, name="towel behind the ball")
    gate = factories.DrillFactory(coach=coach, name="Sway gate")
    factories.AssignmentFactory(lesson=lesson, drill=gate)
    page = as_coach.get(URL).content.decode()
    assert page.index("Sway gate") < page.index("towel behind the ball")
    assert "3 x 10, 5 days a week" in page
    assert "given 1 time" in page


def test_what_was_put_aside_stands_apart(as_coach, coach):
    factories.DrillFactory(coach=coach, name="Old one", archived_at=timezone.now())
    response = as_coach.get(URL)
    assert [drill.name for drill in response.context["archived"]] == ["Old one"]
    assert not response.context["drills"]


def test_it_shows_no_drill_of_another_coach(as_other_coach, coach):
    factories.DrillFactory(coach=coach, name="Sway gate")
    assert "Sway gate" not in as_other_coach.get(URL).content.decode()


def test_students_and_guardians_have_no_library(as_student, as_guardian):
    assert as_student.get(URL).status_code == 404
    assert as_guardian.get(URL).status_code == 404


def test_it_sends_the_signed_out_to_sign_in(as_nobody):
    assert as_nobody.get(URL).status_code == 302


@pytest.mark.parametrize("method", ["post", "put", "delete"])
def test_it_only_reads(as_coach, method):
    assert getattr(as_coach, method)(URL).status_code == 405
