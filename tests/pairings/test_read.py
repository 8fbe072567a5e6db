"""What the student reads of pairings, in the posted recap."""

from __future__ import annotations

import io

import pytest
from django.core.files.base import ContentFile
from django.test import Client
from django.urls import reverse
from PIL import Image

from lessons.pairings.models import SavedPairing
from lessons.practice.kit import kit_of
from lessons.recaps.posting import check_recap
from lessons.visits.models import Lesson
from tests import factories


@pytest.fixture
def shown(posted_lesson: Lesson) -> SavedPairing:
    """A ready film in the recap of a posted lesson."""
    factories.RecapFactory(lesson=posted_lesson)
    out = io.BytesIO()
    Image.new("RGB", (64, 48), "green").save(out, "JPEG")
    row = factories.SavedPairingFactory(
        pairing__lesson=posted_lesson,
        kind=SavedPairing.Kind.FILM,
        state=SavedPairing.State.READY,
        caption="The hips stay level now",
        width_px=64,
        height_px=48,
    )
    row.file.save("film.mp4", ContentFile(b"bytes"))
    row.poster.save("poster.jpg", ContentFile(out.getvalue()))
    return row


def page(client: Client, lesson: Lesson) -> str:
    return client.get(reverse("recaps:read", args=[lesson.pk])).content.decode()


def test_the_student_sees_it_with_its_words(as_student: Client, shown: SavedPairing):
    read = page(as_student, shown.pairing.lesson)
    assert "The hips stay level now" in read
    for name in ("file", "poster"):
        address = reverse(f"pairings:{name}", args=[shown.pk])
        assert address in read
        assert as_student.get(address).status_code == 200
    assert as_student.get(reverse("pairings:file", args=[shown.pk]))["Content-Type"] == "video/mp4"


@pytest.mark.parametrize(
    "change",
    [
        {"in_recap": False},
        {"removed_at": "2026-03-20T10:00Z"},
        {"state": SavedPairing.State.MAKING},
        {"state": SavedPairing.State.FAILED},
    ],
    ids=["left out", "removed", "under way", "failed"],
)
def test_what_is_not_in_the_recap_is_not_shown(
    as_student: Client, shown: SavedPairing, change: dict[str, object]
):
    SavedPairing.objects.filter(pk=shown.pk).update(**change)
    address = reverse("pairings:file", args=[shown.pk])
    assert address not in page(as_student, shown.pairing.lesson)
    assert as_student.get(address).status_code == 404


def test_with_its_pairing_it_goes_too(as_student: Client, shown: SavedPairing):
    shown.pairing.remove()
    assert "Side by side" not in page(as_student, shown.pairing.lesson)
    assert as_student.get(reverse("pairings:file", args=[shown.pk])).status_code == 404
    shown.pairing.bring_back()
    assert "Side by side" in page(as_student, shown.pairing.lesson)


@pytest.mark.parametrize("who", ["as_other_student", "as_other_coach", "as_guardian"])
def test_it_refuses_a_stranger(who: str, request: pytest.FixtureRequest, shown: SavedPairing):
    client = request.getfixturevalue(who)
    assert client.get(reverse("pairings:file", args=[shown.pk])).status_code == 404


def test_without_any_nothing_is_said(as_student: Client, posted_lesson: Lesson):
    factories.RecapFactory(lesson=posted_lesson)
    assert "Side by side" not in page(as_student, posted_lesson)


@pytest.mark.parametrize(
    ("mark", "cautioned"),
    [
        ({"kind": "line", "shows": "upright"}, True),
        ({"kind": "angle"}, True),
        ({"kind": "line"}, False),
    ],
)
def test_a_measure_on_it_has_its_caution(
    as_student: Client, shown: SavedPairing, mark: dict[str, str], cautioned: bool
):
    shown.recipe["sides"][0]["marked"] = [{"marks": [mark]}]
    shown.save()
    assert ("One camera shows no depth" in page(as_student, shown.pairing.lesson)) == cautioned


def test_the_phone_keeps_its_picture_for_a_place_without_a_signal(shown: SavedPairing):
    kept = {file["url"] for file in kit_of([shown.pairing.lesson])["files"]}
    assert reverse("pairings:poster", args=[shown.pk]) in kept
    SavedPairing.objects.update(in_recap=False)
    assert kit_of([shown.pairing.lesson])["files"] == []


@pytest.mark.parametrize(
    ("state", "words"),
    [
        (SavedPairing.State.MAKING, "is not made yet"),
        (SavedPairing.State.FAILED, "could not be made"),
        (SavedPairing.State.READY, ""),
        (SavedPairing.State.CANCELLED, ""),
    ],
)
def test_before_posting_it_says_what_is_not_there(shown: SavedPairing, state: str, words: str):
    SavedPairing.objects.update(state=state)
    said = [w for w in check_recap(shown.pairing.lesson.recap).warnings if "side by side" in w]
    assert bool(said) == bool(words)
    assert all(words in warning for warning in said)
