"""The stills to choose from while a recap is written."""

from __future__ import annotations

import pytest
from django.urls import reverse
from django.utils import timezone

from tests import factories


@pytest.fixture
def url(lesson):
    return reverse("recaps:stills", args=[lesson.pk])


def test_it_offers_the_lessons_ready_stills(as_coach, url, still, student):
    other = factories.StillFactory(clip__lesson__student=student, state="ready")
    page = as_coach.get(url).content.decode()
    assert f'data-put-still="{still.pk}"' in page
    assert "P4 top, start" in page
    assert f'data-put-still="{other.pk}"' not in page
    assert "every 3s" not in page


def test_it_asks_again_while_a_still_is_pulled(as_coach, url, still):
    factories.StillFactory(clip=still.clip)
    page = as_coach.get(url).content.decode()
    assert "1 still being pulled" in page
    assert "every 3s" in page


def test_it_says_where_stills_come_from(as_coach, url):
    assert "Take stills from a clip" in as_coach.get(url).content.decode()


def test_stills_of_a_removed_clip_are_not_offered(as_coach, url, still):
    still.clip.removed_at = timezone.now()
    still.clip.save()
    assert "data-put-still" not in as_coach.get(url).content.decode()


def test_it_refuses_everybody_else(as_other_coach, as_student, as_nobody, url):
    assert as_other_coach.get(url).status_code == 404
    assert as_student.get(url).status_code == 404
    assert as_nobody.get(url).status_code == 302


def test_it_only_reads(as_coach, url):
    assert as_coach.post(url).status_code == 405


def test_a_still_on_the_stage_can_be_put_in_the_recap(as_coach, as_student, posted_lesson):
    clip = factories.ClipFactory(lesson=posted_lesson, ready=True)
    still = factories.StillFactory(clip=clip, state="ready", width_px=1280, height_px=720)
    url = reverse("marks:still", args=[still.pk])
    stage = as_coach.get(url, headers={"HX-Request": "true", "HX-Target": "stage"})
    assert f'data-put-still="{still.pk}"' in stage.content.decode()
    assert "data-put-still" not in as_student.get(url).content.decode()
