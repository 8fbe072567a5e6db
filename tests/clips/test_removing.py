"""Removing a clip that something else shows: its coach is asked first, and told afterwards."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from lessons.clips.models import Clip
from lessons.recaps.models import Recap, RecapStill
from lessons.visits.models import Lesson
from tests import factories

pytestmark = pytest.mark.django_db


@pytest.fixture
def clip(lesson: Lesson) -> Clip:
    return factories.ClipFactory(lesson=lesson, ready=True)


def remove(client: Client, clip: Clip, **sent: str) -> str:
    answer = client.post(reverse("clips:remove", args=[clip.pk]), sent, follow=True)
    return answer.content.decode()


@pytest.fixture
def used(clip: Clip) -> Clip:
    """In a posted recap with two stills, in a pairing, with a path in the recap."""
    assert clip.lesson
    recap, _ = Recap.objects.get_or_create(lesson=clip.lesson)
    for _ in range(2):
        RecapStill.objects.create(recap=recap, still=factories.StillFactory(clip=clip))
    factories.PairingSideFactory(pairing=factories.PairingFactory(lesson=clip.lesson), clip=clip)
    factories.PathFactory(clip=clip, in_recap=True)
    Lesson.objects.filter(pk=clip.lesson_id).update(posted_at=timezone.now())
    return clip


def test_what_goes_with_it_is_said_first(as_coach: Client, used: Clip):
    page = remove(as_coach, used)
    assert "Remove this clip?" in page
    number = used.lesson.number if used.lesson else 0
    for words in (
        f"2 stills of the posted recap of lesson {number}",
        f"its swing in side by side of lesson {number}",
        "a path in the recap",
        "the clip itself",
    ):
        assert words in page
    assert Clip.objects.current().filter(pk=used.pk).exists()


def test_sure_of_it_the_clip_goes_and_undo_stays(as_coach: Client, used: Clip):
    page = remove(as_coach, used, sure="1")
    assert not Clip.objects.current().filter(pk=used.pk).exists()
    assert reverse("clips:restore", args=[used.pk]) in page


def test_a_clip_that_nothing_shows_goes_at_once(as_coach: Client, clip: Clip):
    remove(as_coach, clip)
    assert not Clip.objects.current().filter(pk=clip.pk).exists()


def test_the_address_of_a_removed_clip_says_so_to_its_coach(as_coach: Client, clip: Clip):
    clip.remove()
    answer = as_coach.get(reverse("clips:clip", args=[clip.pk]))
    assert answer.status_code == 410
    page = answer.content.decode()
    assert "This clip was removed" in page
    assert reverse("clips:restore", args=[clip.pk]) in page


@pytest.mark.parametrize("who", ["as_student", "as_other_coach", "client"])
def test_to_others_a_removed_clip_is_not_there(
    who: str, request: pytest.FixtureRequest, clip: Clip
):
    Lesson.objects.update(posted_at=timezone.now())
    clip.remove()
    answer = request.getfixturevalue(who).get(reverse("clips:clip", args=[clip.pk]))
    assert answer.status_code in {302, 404}
    assert "removed" not in answer.content.decode()
