"""Beside whatever puts something into a recap it is said that a posted one is seen at once."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse

from lessons.visits.models import Lesson
from tests import factories
from tests.marks.conftest import make_still
from tests.paths.conftest import STAGE

SAID = "sees what is in the recap at once"


def of_editor(lesson: Lesson) -> str:
    return reverse("recaps:recap", args=[lesson.pk])


def of_still(lesson: Lesson) -> str:
    return reverse("marks:still", args=[make_still(lesson).pk])


def of_measures(lesson: Lesson) -> str:
    make_still(lesson)
    return reverse("marks:measures", args=[lesson.pk])


def of_path(lesson: Lesson) -> str:
    path = factories.PathFactory(swing__clip__lesson=lesson, ready=True)
    return reverse("paths:path", args=[path.pk])


def of_pairing(lesson: Lesson) -> str:
    return reverse("pairings:pairing", args=[factories.PairingFactory(lesson=lesson).pk])


@pytest.mark.parametrize("place", [of_editor, of_still, of_measures, of_path, of_pairing])
def test_a_posted_lesson_has_no_draft(
    as_coach: Client, lesson: Lesson, posted_lesson: Lesson, place: Callable[[Lesson], str]
):
    said = f"Posted: {posted_lesson.student} {SAID}."
    assert said in as_coach.get(place(posted_lesson), headers=STAGE).content.decode()
    assert SAID not in as_coach.get(place(lesson), headers=STAGE).content.decode()
