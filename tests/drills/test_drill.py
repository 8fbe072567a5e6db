"""The page of one drill."""

from __future__ import annotations

import pytest
from django.urls import reverse

from lessons.drills.models import Assignment, Drill
from tests import factories


@pytest.fixture
def drill(coach):
    return factories.DrillFactory(
        coach=coach,
        name="Sway gate",
        purpose="Shows a slide.",
        set_up="A stick beside the hip.",
        steps="Set up.\nTurn.",
        feel="The buckle turns.",
        works_when="The stick stays untouched.",
        slip="Leaning over.",
        equipment="One stick",
        caution="Not with a sore hip.",
    )


@pytest.fixture
def url(drill):
    return reverse("drills:drill", args=[drill.pk])


def test_it_shows_every_word_of_the_drill(as_coach, url, drill):
    page = as_coach.get(url).content.decode()
    for name in Drill.TEXT_FIELDS:
        for line in str(getattr(drill, name) or "").splitlines():
            assert line in page
    assert drill.dose in page


def test_it_shows_the_usual_cautions(as_coach, url):
    page = as_coach.get(url).content.decode()
    assert "room to swing" in page
    assert "Stop if anything hurts" in page
    assert "doctor or physiotherapist" in page
    assert "an adult present" in page


def test_it_says_to_whom_it_was_given(as_coach, url, drill, lesson):
    Assignment.of(drill, lesson=lesson).save()
    assert lesson.student.name in as_coach.get(url).content.decode()


def test_it_shows_text_as_text(as_coach, url, drill):
    Drill.objects.filter(pk=drill.pk).update(feel="<script>alert(1)</script>")
    assert "<script>alert(1)" not in as_coach.get(url).content.decode()


def test_it_refuses_everybody_else(as_other_coach, as_student, as_guardian, url):
    for client in (as_other_coach, as_student, as_guardian):
        assert client.get(url).status_code == 404


def test_it_sends_the_signed_out_to_sign_in(as_nobody, url):
    assert as_nobody.get(url).status_code == 302


def test_it_only_reads(as_coach, url):
    assert as_coach.post(url).status_code == 405
