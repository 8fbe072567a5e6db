"""clips:clip, the player's page."""

from __future__ import annotations

import datetime

import pytest
from django.db.models import Q
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from lessons.clips.models import Clip
from lessons.clips.models import clip as clip_models
from lessons.visits.models import Lesson
from tests import factories

STAGE = {"HX-Request": "true", "HX-Target": "stage"}


@pytest.fixture
def clip(lesson: Lesson) -> Clip:
    return factories.ClipFactory(lesson=lesson, ready=True, club="7-iron")


def address(clip: Clip) -> str:
    return reverse("clips:clip", args=[clip.pk])


def test_the_coach_sees_the_player_on_the_desk(as_coach: Client, clip: Clip):
    page = as_coach.get(address(clip)).content.decode()
    assert "<lesson-desk" in page
    assert "<clip-player" in page
    assert "Face-on, 7-iron" in page
    for position in range(1, 11):
        assert f'value="P{position}"' in page


def test_htmx_gets_the_stage_alone(as_coach: Client, clip: Clip):
    page = as_coach.get(address(clip), headers=STAGE).content.decode()
    assert "<clip-player" in page
    assert "<lesson-desk" not in page


def test_the_student_sees_the_player_without_the_coachs_tools(
    as_student: Client, posted_lesson: Lesson
):
    clip = factories.ClipFactory(lesson=posted_lesson, ready=True)
    page = as_student.get(address(clip)).content.decode()
    assert "<clip-player" in page
    for only_coach in ("<lesson-desk", "Take still", "original", "Remove"):
        assert only_coach not in page


def test_it_says_that_one_camera_misreads_depth(as_student: Client, posted_lesson: Lesson):
    clip = factories.ClipFactory(lesson=posted_lesson, ready=True)
    assert "not depth" in as_student.get(address(clip)).content.decode()


def test_a_clip_in_preparation_shows_how_far_it_is(as_coach: Client, lesson: Lesson):
    clip = factories.ClipFactory(lesson=lesson, state=Clip.State.PREPARING, progress_permille=420)
    page = as_coach.get(address(clip)).content.decode()
    assert "42 %" in page
    assert 'hx-trigger="every 2s"' in page


def test_a_rejected_clip_says_why_and_offers_another_try(as_coach: Client, lesson: Lesson):
    clip = factories.ClipFactory(
        lesson=lesson, state=Clip.State.REJECTED, reason="No room.", may_pass_later=True
    )
    page = as_coach.get(address(clip)).content.decode()
    assert "No room." in page
    assert reverse("clips:again", args=[clip.pk]) in page


def test_where_another_try_cannot_help_none_is_offered(as_coach: Client, lesson: Lesson):
    clip = factories.ClipFactory(lesson=lesson, state=Clip.State.REJECTED, reason="A photo.")
    page = as_coach.get(address(clip)).content.decode()
    assert "A photo." in page
    assert reverse("clips:again", args=[clip.pk]) not in page


def test_a_waiting_clip_says_how_many_come_before(as_coach: Client, lesson: Lesson):
    ready = factories.ClipFactory(lesson=lesson, ready=True)
    factories.CutFactory(clip=ready)
    factories.ClipFactory(lesson=lesson, state=Clip.State.PREPARING)
    clip = factories.ClipFactory(lesson=lesson)
    assert "2 clips before it" in as_coach.get(address(clip)).content.decode()


def test_the_time_left_is_told_once_it_is_known(as_coach: Client, lesson: Lesson):
    began = timezone.now() - datetime.timedelta(seconds=20)
    clip = factories.ClipFactory(
        lesson=lesson, state=Clip.State.PREPARING, progress_permille=10, began_at=began
    )
    assert "left" not in as_coach.get(address(clip), headers=STAGE).content.decode()
    Clip.objects.filter(pk=clip.pk).update(progress_permille=250)
    # a quarter in 20 s: three times as long is left
    assert "about 1 min left" in as_coach.get(address(clip), headers=STAGE).content.decode()


def test_a_clip_of_the_library_has_a_plain_page(as_coach: Client, clip: Clip):
    Clip.objects.filter(pk=clip.pk).update(lesson=None)
    page = as_coach.get(address(clip)).content.decode()
    assert "<clip-player" in page
    assert "<lesson-desk" not in page


def test_it_hides_a_lesson_that_is_not_posted(as_student: Client, clip: Clip):
    assert as_student.get(address(clip)).status_code == 404


@pytest.mark.parametrize("who", ["as_other_coach", "as_other_student", "as_guardian"])
def test_it_refuses_strangers(who: str, request: pytest.FixtureRequest, posted_lesson: Lesson):
    clip = factories.ClipFactory(lesson=posted_lesson, ready=True)
    assert request.getfixturevalue(who).get(address(clip)).status_code == 404


def test_it_refuses_a_removed_clip(as_coach: Client, clip: Clip):
    clip.remove()
    assert as_coach.get(address(clip)).status_code == 410  # and says so: test_removing


def test_a_room_above_can_let_others_see_a_clip(
    as_student: Client, clip: Clip, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setattr(clip_models, "ALSO_VISIBLE", [lambda user: Q(pk=clip.pk)])
    assert as_student.get(address(clip)).status_code == 200


def test_it_sends_the_signed_out_to_sign_in(as_nobody: Client, clip: Clip):
    assert as_nobody.get(address(clip)).status_code == 302


def test_it_refuses_another_method(as_coach: Client, clip: Clip):
    assert as_coach.post(address(clip)).status_code == 405
