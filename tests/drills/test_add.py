"""A new drill."""

from __future__ import annotations

import pytest
from django.urls import reverse

from lessons.drills.models import Drill

URL = reverse("drills:add")
GATE = {
    "name": "Sway gate",
    "purpose": "Shows a slide",
    "steps": "Set up.\nTurn.",
    "sets": 3,
    "reps": 10,
    "days_a_week": 5,
}


def test_it_adds_a_drill_to_the_coachs_library(as_coach, coach):
    response = as_coach.post(URL, GATE)
    drill = Drill.objects.get()
    assert response.url == reverse("drills:drill", args=[drill.pk])
    assert (drill.coach, drill.name, drill.dose) == (coach, "Sway gate", "3 x 10, 5 days a week")


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"name": ""}, "Give the drill a name."),
        ({"name": "x" * 81}, "Shorten the name to 80 letters; it has 81."),
        ({"reps": ""}, "Say how many times or how many minutes."),
        ({"days_a_week": ""}, "Say on how many days a week, 1 to 7."),
        ({"days_a_week": 8}, "Write 7 or less."),
        ({"reps": 0}, "Write 1 or more."),
        ({"minutes": 100000}, "Write 240 or less."),
    ],
)
def test_it_says_what_is_wrong_and_keeps_what_was_typed(as_coach, change, words):
    response = as_coach.post(URL, GATE | change)
    page = response.content.decode()
    assert response.status_code == 422
    assert words in page
    assert "Shows a slide" in page
    assert not Drill.objects.exists()


def test_the_form_has_a_field_for_every_word_of_a_drill(as_coach):
    page = as_coach.get(URL).content.decode()
    for name in (*Drill.TEXT_FIELDS, *Drill.DOSE_FIELDS):
        assert (f'name="{name}"' in page) == (name != "clip"), name


def test_it_refuses_students(as_student):
    assert as_student.get(URL).status_code == 404
    assert as_student.post(URL, GATE).status_code == 404
    assert not Drill.objects.exists()


def test_it_sends_the_signed_out_to_sign_in(as_nobody):
    assert as_nobody.post(URL, GATE).status_code == 302
    assert not Drill.objects.exists()


def test_it_rejects_put(as_coach):
    assert as_coach.put(URL).status_code == 405
