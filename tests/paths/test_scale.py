"""What a path is counted by: POST /paths/<pk>/scale/, and what the student's figures keep to."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from lessons.clips.models import Still
from lessons.marks.service import save_marks
from lessons.paths.models import Path
from lessons.paths.showing import ShownPath
from tests import factories
from tests.marks.conftest import line, make_still


@pytest.fixture
def still(path: Path) -> Still:
    factories.RecapFactory(lesson=path.clip.lesson)
    return make_still(path.clip.lesson, clip=path.clip)


def rule(still: Still, length_mm: int, version: int = 0) -> None:
    """Mark a known length of 300 pixels on the still."""
    ruler = line(id="ru", kind="ruler", points=[[100, 100], [400, 100]], length_mm=length_mm)
    save_marks(still, version, [ruler])


def put_in(client: Client, path: Path, *, wanted: bool = True) -> None:
    address = reverse("paths:recap", args=[path.pk])
    client.post(address, {"in_recap": "on"} if wanted else {})


def page_of(client: Client, path: Path) -> str:
    page = client.get(reverse("paths:path", args=[path.pk]))
    return " ".join(page.content.decode().split())


def read(client: Client, path: Path) -> str:
    page = client.get(reverse("recaps:read", args=[path.clip.lesson_id]))
    words = " ".join(page.content.decode().split())
    return words[words.index("How you moved") : words.index("csrfmiddlewaretoken")]


def test_a_length_tried_on_another_still_changes_no_figure_of_the_recap(
    as_coach: Client, as_student: Client, path: Path, still: Still
):
    rule(still, 900)
    put_in(as_coach, path)
    before = read(as_student, path)
    assert f"in centimetres by the length marked on {still.title}" in before
    rule(make_still(path.clip.lesson, clip=path.clip), 90)
    rule(still, 1800, version=1)
    assert read(as_student, path) == before


def test_the_coach_can_count_by_the_length_that_is_marked_now(
    as_coach: Client, path: Path, still: Still
):
    put_in(as_coach, path)
    assert "in shares of the box's width" in page_of(as_coach, path)
    rule(still, 900)
    page = page_of(as_coach, path)
    assert "in shares of the box's width" in page
    assert f"A length is marked on {still.title}" in page
    answer = as_coach.post(reverse("paths:scale", args=[path.pk]))
    assert answer["Location"] == reverse("paths:path", args=[path.pk])
    page = page_of(as_coach, path)
    assert "in centimetres by the length" in page
    assert "Count by" not in page
    path.refresh_from_db()
    assert path.ruler_still == still


def test_a_length_that_is_rubbed_out_is_said(as_coach: Client, path: Path, still: Still):
    rule(still, 900)
    put_in(as_coach, path)
    save_marks(still, 1, [])
    assert "is not marked any more" in page_of(as_coach, path)
    as_coach.post(reverse("paths:scale", args=[path.pk]))
    assert "in shares of the box's width" in page_of(as_coach, path)


def test_outside_of_the_recap_it_follows_what_is_marked(as_coach: Client, path: Path, still: Still):
    rule(still, 900)
    put_in(as_coach, path)
    put_in(as_coach, path, wanted=False)
    rule(still, 1800, version=1)
    path.refresh_from_db()
    cm_per_px = ShownPath(path).unit.per_px
    assert cm_per_px == pytest.approx(180 / 300 * still.width_px / path.clip.width_px)
    put_in(as_coach, path)
    path.refresh_from_db()
    assert path.cm_per_px == pytest.approx(cm_per_px)


def test_a_still_that_counts_is_not_retired(as_coach: Client, path: Path, still: Still):
    rule(still, 900)
    put_in(as_coach, path)
    assert not Still.objects.get(pk=still.pk).retire()


@pytest.mark.parametrize("who", ["as_student", "as_other_student", "as_guardian", "as_other_coach"])
def test_it_is_for_the_coach_alone(request: Any, path: Path, who: str):
    address = reverse("paths:scale", args=[path.pk])
    assert request.getfixturevalue(who).post(address).status_code == 404


def test_it_refuses_other_methods_and_nobody(as_coach: Client, as_nobody: Client, path: Path):
    address = reverse("paths:scale", args=[path.pk])
    assert as_coach.get(address).status_code == 405
    assert as_nobody.post(address).status_code == 302
