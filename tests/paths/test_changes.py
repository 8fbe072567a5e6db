"""What else a coach does with a path: again, into the recap, remove and bring back."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from lessons.paths.models import Path

ALL = ("again", "recap", "remove", "restore")


def address(path: Path, what: str) -> str:
    return reverse(f"paths:{what}", args=[path.pk])


def test_a_failed_path_is_followed_again(
    as_coach: Client, path: Path, no_worker: list[int], django_capture_on_commit_callbacks: Any
):
    Path.objects.update(state=Path.State.FAILED, reason="The disk is full.", attempts=3)
    with django_capture_on_commit_callbacks(execute=True):
        as_coach.post(address(path, "again"))
    path.refresh_from_db()
    assert (path.state, path.reason, path.attempts) == (Path.State.WANTED, "", 0)
    assert no_worker == [path.pk]


def test_one_that_has_not_failed_is_left_alone(as_coach: Client, path: Path):
    as_coach.post(address(path, "again"))
    path.refresh_from_db()
    assert path.is_ready


def test_it_goes_into_the_recap_and_out_again(as_coach: Client, path: Path):
    answer = as_coach.post(
        address(path, "recap"), {"in_recap": "on"}, headers={"HX-Request": "true"}
    )
    assert answer.status_code == 200
    path.refresh_from_db()
    assert path.in_recap
    answer = as_coach.post(address(path, "recap"), {})
    assert answer["Location"] == reverse("paths:path", args=[path.pk])
    path.refresh_from_db()
    assert not path.in_recap


def test_htmx_gets_the_box_to_tick_back(as_coach: Client, path: Path):
    headers = {"HX-Request": "true"}
    page = as_coach.post(address(path, "recap"), {"in_recap": "on"}, headers=headers)
    assert "Saved" in page.content.decode()
    assert "<html" not in page.content.decode()


def test_a_removed_path_can_be_brought_back(as_coach: Client, path: Path):
    as_coach.post(address(path, "remove"))
    page = as_coach.get(reverse("paths:path", args=[path.pk])).content.decode()
    assert "This path is removed." in page
    clip = as_coach.get(reverse("clips:clip", args=[path.clip_id])).content.decode()
    assert reverse("paths:path", args=[path.pk]) not in clip
    as_coach.post(address(path, "restore"))
    page = as_coach.get(reverse("paths:path", args=[path.pk])).content.decode()
    assert "<path-viewer" in page


def test_removing_twice_is_removing_once(as_coach: Client, path: Path):
    for _ in range(2):
        assert as_coach.post(address(path, "remove")).status_code == 302
    path.refresh_from_db()
    assert path.removed_at is not None


@pytest.mark.parametrize("what", ALL)
@pytest.mark.parametrize("who", ["as_student", "as_other_student", "as_guardian", "as_other_coach"])
def test_it_is_for_the_coach_alone(request: Any, path: Path, who: str, what: str):
    assert request.getfixturevalue(who).post(address(path, what)).status_code == 404


@pytest.mark.parametrize("what", ALL)
def test_it_refuses_other_methods_and_nobody(
    as_coach: Client, as_nobody: Client, path: Path, what: str
):
    assert as_coach.get(address(path, what)).status_code == 405
    assert as_nobody.post(address(path, what)).status_code == 302
