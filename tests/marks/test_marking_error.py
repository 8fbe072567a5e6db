"""How exactly a coach marks: POST /marking-error/."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from lessons.clips.models import Still
from lessons.marks.models import MarkingError
from lessons.marks.service import marked_etag, save_marks, sight_of
from tests.marks.conftest import line

ADDRESS = reverse("marks:marking_error")


def test_every_measure_follows_from_it(as_coach: Client, as_student: Client, posted_still: Still):
    save_marks(posted_still, 0, [line(points=[[100, 400], [100, 100]], shows="upright")])
    page = reverse("marks:still", args=[posted_still.pk])
    tag = marked_etag(posted_still)
    assert "0° ±1° from the vertical" in as_student.get(page).content.decode()
    assert as_coach.post(ADDRESS, {"error_px": "12"}).status_code == 204
    again = Still.objects.get(pk=posted_still.pk)
    assert sight_of(again).error_px == 12
    assert "0° ±3° from the vertical" in as_student.get(page).content.decode()
    assert marked_etag(again) != tag


@pytest.mark.parametrize(
    ("sent", "sentence"),
    [
        ("", "how many pixels"),
        ("0.1", "half a pixel"),
        ("51", "measures nothing"),
        ("much", "Enter a number"),
        ("NaN", "Enter a number"),
    ],
)
def test_it_refuses_bad_input(as_coach: Client, sent: str, sentence: str):
    answer = as_coach.post(ADDRESS, {"error_px": sent})
    assert answer.status_code == 422
    assert sentence in answer.content.decode()
    assert MarkingError.objects.get().error_px == 3


def test_a_student_has_none(as_student: Client):
    assert as_student.post(ADDRESS, {"error_px": "4"}).status_code == 404


def test_it_refuses_other_methods_and_nobody(as_coach: Client, as_nobody: Client):
    assert as_coach.get(ADDRESS).status_code == 405
    assert as_nobody.post(ADDRESS).status_code == 302
