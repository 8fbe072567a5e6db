"""From a still or a clip back to the pairing that led there."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from lessons.clips.models import Clip, Still
from lessons.pairings.models import Pairing
from lessons.visits.models import Lesson
from tests import factories

pytestmark = pytest.mark.django_db

BACK = "Back to side by side"


@pytest.fixture
def earlier(earlier_lesson: Lesson, pairing: Pairing) -> Clip:
    """A clip of another lesson in this one's pairing."""
    clip = factories.ClipFactory(lesson=earlier_lesson, ready=True)
    factories.PairingSideFactory(pairing=pairing, clip=clip)
    return clip


def still_of(clip: Clip) -> Still:
    return factories.StillFactory(clip=clip, state=Still.State.READY)


def read(client: Client, address: str, pk: int, origin: object) -> str:
    return client.get(reverse(address, args=[pk]), {"from": origin}).content.decode()


def test_a_still_of_another_lesson_leads_back_and_says_whose_it_is(
    as_coach: Client, earlier: Clip, pairing: Pairing
):
    page = read(as_coach, "marks:still", still_of(earlier).pk, pairing.pk)
    assert f'href="{reverse("pairings:pairing", args=[pairing.pk])}">{BACK}' in page
    assert earlier.lesson
    assert f"lesson {earlier.lesson.number} of" in page


def test_so_does_its_clip(as_coach: Client, earlier: Clip, pairing: Pairing):
    assert BACK in read(as_coach, "clips:clip", earlier.pk, pairing.pk)


def test_a_part_of_the_page_that_asks_for_itself_still_leads_back(
    as_coach: Client, earlier: Clip, pairing: Pairing
):
    address = reverse("marks:still", args=[still_of(earlier).pk])
    headers = {
        "HX-Request": "true",
        "HX-Target": "stage",
        "HX-Current-URL": f"http://testserver{address}?from={pairing.pk}",
    }
    assert BACK in as_coach.get(address, headers=headers).content.decode()


@pytest.mark.parametrize("origin", ["", "x", "-1", "1e3", "٣", "9" * 5000, "//elsewhere.example"])
def test_what_is_no_pairing_leads_nowhere(
    as_coach: Client, earlier: Clip, pairing: Pairing, origin: str
):
    page = read(as_coach, "marks:still", still_of(earlier).pk, origin)
    assert BACK not in page
    assert "elsewhere.example" not in page


def test_a_pairing_without_this_clip_leads_nowhere(as_coach: Client, pairing: Pairing):
    other = factories.ClipFactory(lesson=pairing.lesson, ready=True)
    assert BACK not in read(as_coach, "clips:clip", other.pk, pairing.pk)


def test_another_coachs_pairing_leads_nowhere(as_coach: Client, earlier: Clip):
    strange = factories.PairingFactory()
    assert BACK not in read(as_coach, "clips:clip", earlier.pk, strange.pk)


def test_a_student_is_not_led_to_a_pairing(as_student: Client, earlier: Clip, pairing: Pairing):
    assert BACK not in read(as_student, "clips:clip", earlier.pk, pairing.pk)
