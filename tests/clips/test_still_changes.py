"""clips:remove_still, clips:restore_still and clips:pull_again."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from lessons.clips.models import Still
from lessons.visits.models import Lesson
from tests import factories

HTMX = {"HX-Request": "true", "HX-Target": "stills"}
VIEWS = ("remove_still", "restore_still", "pull_again")


@pytest.fixture
def still(posted_lesson: Lesson) -> Still:
    return factories.StillFactory(
        clip__lesson=posted_lesson, state=Still.State.READY, position="P4"
    )


def address(view: str, still: Still) -> str:
    return reverse(f"clips:{view}", args=[still.pk])


def test_remove_takes_it_off_and_offers_undo(as_coach: Client, still: Still):
    page = as_coach.post(address("remove_still", still), headers=HTMX).content.decode()
    assert "Still P4 removed." in page
    assert address("restore_still", still) in page
    assert "data-still " not in page
    assert not Still.objects.visible_to(still.clip.coach).exists()


def test_restore_brings_it_back(as_coach: Client, still: Still):
    still.remove()
    page = as_coach.post(address("restore_still", still), headers=HTMX).content.decode()
    assert 'data-position="P4"' in page
    assert Still.objects.visible_to(still.clip.coach).exists()


def test_pull_again_sends_a_failed_still_anew(
    as_coach: Client, still: Still, no_worker: list[int], django_capture_on_commit_callbacks
):
    Still.objects.update(state=Still.State.FAILED, reason="Disk away.", attempts=3)
    with django_capture_on_commit_callbacks(execute=True):
        as_coach.post(address("pull_again", still), headers=HTMX)
    still.refresh_from_db()
    assert (still.state, still.attempts, still.reason) == (Still.State.WANTED, 0, "")
    assert no_worker == [still.pk]


def test_pull_again_leaves_a_ready_still_alone(as_coach: Client, still: Still, no_worker):
    as_coach.post(address("pull_again", still), headers=HTMX)
    still.refresh_from_db()
    assert still.is_ready
    assert not no_worker


@pytest.mark.parametrize("view", VIEWS)
def test_without_htmx_they_lead_to_the_clip(view: str, as_coach: Client, still: Still):
    answer = as_coach.post(address(view, still))
    assert answer["Location"] == reverse("clips:clip", args=[still.clip_id])


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize("who", ["as_other_coach", "as_student", "as_guardian"])
def test_they_refuse_all_but_the_coach(
    view: str, who: str, request: pytest.FixtureRequest, still: Still
):
    assert request.getfixturevalue(who).post(address(view, still)).status_code == 404


@pytest.mark.parametrize("view", VIEWS)
def test_they_send_the_signed_out_to_sign_in(view: str, as_nobody: Client, still: Still):
    assert as_nobody.post(address(view, still)).status_code == 302


@pytest.mark.parametrize("view", VIEWS)
def test_they_refuse_another_method(view: str, as_coach: Client, still: Still):
    assert as_coach.get(address(view, still)).status_code == 405
