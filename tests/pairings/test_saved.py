"""Saving a picture or film of a pairing, and what its coach does with it."""

from __future__ import annotations

import io

import pytest
from django.core.files.base import ContentFile
from django.test import Client
from django.urls import reverse
from PIL import Image

from lessons.clips.models import Swing
from lessons.pairings.models import Pairing, SavedPairing
from lessons.pairings.recipe import Recipe
from lessons.pairings.service import save_film
from tests import factories

HTMX = {"HX-Request": "true", "HX-Target": "saved-pairings"}
FILM = {"speed": "0.25", "pauses": ["P4", "P7"], "hold_s": "2"}


def address(name: str, row: Pairing | SavedPairing) -> str:
    return reverse(f"pairings:{name}", args=[row.pk])


@pytest.fixture
def saved(pairing: Pairing) -> SavedPairing:
    """A ready picture in the recap."""
    out = io.BytesIO()
    Image.new("RGB", (64, 48), "green").save(out, "JPEG")
    row = factories.SavedPairingFactory(pairing=pairing, state=SavedPairing.State.READY)
    row.file.save("pair.jpg", ContentFile(out.getvalue()))
    return row


def test_a_moment_is_saved_as_a_picture(
    as_coach: Client,
    pairing: Pairing,
    saved_sent: list[int],
    django_capture_on_commit_callbacks,
):
    with django_capture_on_commit_callbacks(execute=True):
        answer = as_coach.post(address("save_still", pairing), {"clock_us": "0"}, headers=HTMX)
    row = SavedPairing.objects.get()
    assert saved_sent == [row.pk]
    assert (row.kind, row.state, row.in_recap) == ("picture", "wanted", True)
    recipe = Recipe.from_json(row.recipe)
    assert [side.aligned_us for side in recipe.sides] == [1_500_000] * 2
    assert (recipe.begin_us, recipe.words) == (0, "P7 impact")
    page = answer.content.decode()
    assert "is being made" in page
    assert "every 2s" in page


def test_between_positions_it_says_no_position(as_coach: Client, pairing: Pairing):
    as_coach.post(address("save_still", pairing), {"clock_us": "-90000"}, headers=HTMX)
    assert SavedPairing.objects.get().recipe["words"] == ""


def test_a_film_pauses_at_the_chosen_positions(as_coach: Client, pairing: Pairing):
    as_coach.post(address("save_film", pairing), FILM, headers=HTMX)
    recipe = Recipe.from_json(SavedPairing.objects.get().recipe)
    assert [(p.clock_us, p.hold_us, p.words) for p in recipe.pauses] == [
        (-250_000, 2_000_000, "P4 top"),
        (0, 2_000_000, "P7 impact"),
    ]
    assert (recipe.begin_us, recipe.end_us) == (-1_300_000, 1_000_000)
    assert recipe.speed == 0.25


def test_what_is_saved_does_not_change_with_the_pairing(as_coach: Client, pairing: Pairing):
    as_coach.post(address("save_still", pairing), {"clock_us": "0"}, headers=HTMX)
    Pairing.objects.update(at="P4", over=True)
    Swing.objects.update(strike_us=1_600_000)
    recipe = Recipe.from_json(SavedPairing.objects.get().recipe)
    assert (recipe.at, recipe.over, recipe.sides[0].aligned_us) == ("P7", False, 1_500_000)


@pytest.mark.parametrize("name", ["save_still", "save_film"])
def test_nothing_is_saved_from_a_page_that_shows_it_otherwise(
    as_coach: Client, pairing: Pairing, name: str
):
    Pairing.objects.update(version=3)
    sent = {"clock_us": "0", **FILM}
    answer = as_coach.post(address(name, pairing), sent | {"version": "2"}, headers=HTMX)
    assert answer.status_code == 422
    assert "also changed in another window" in answer.content.decode()
    assert not SavedPairing.objects.exists()
    as_coach.post(address(name, pairing), sent | {"version": "3"}, headers=HTMX)
    assert SavedPairing.objects.exists()


@pytest.mark.parametrize(
    ("sent", "words"),
    [
        ({}, "moment is missing"),
        ({"clock_us": "now"}, "whole number"),
        ({"clock_us": "99000000"}, "60000000"),
    ],
)
def test_it_says_what_is_wrong_with_a_moment(
    as_coach: Client, pairing: Pairing, sent: dict[str, str], words: str
):
    answer = as_coach.post(address("save_still", pairing), sent, headers=HTMX)
    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert not SavedPairing.objects.exists()


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"speed": "2"}, "Choose full, half"),
        ({"speed": ""}, "required"),
        ({"pauses": ["P99"]}, "P1 to P10"),
        ({"hold_s": "0.1"}, "half a second"),
        ({"hold_s": "60"}, "10 seconds"),
        ({"hold_s": ""}, "how many seconds"),
    ],
)
def test_it_says_what_is_wrong_with_a_film(
    as_coach: Client, pairing: Pairing, change: dict[str, object], words: str
):
    answer = as_coach.post(address("save_film", pairing), FILM | change, headers=HTMX)
    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert not SavedPairing.objects.exists()


def test_a_pause_at_an_unknown_position_is_told(as_coach: Client, pairing: Pairing):
    Swing.objects.update(top_us=None)
    answer = as_coach.post(address("save_film", pairing), FILM, headers=HTMX)
    assert answer.status_code == 422
    assert "not known where P4 is" in answer.content.decode()


def test_a_film_that_would_go_on_and_on_is_refused(as_coach: Client, pairing: Pairing):
    pairing.sides.update(swing=None)
    clip = pairing.sides.first().clip
    clip.duration_us = 900_000_000
    clip.save()
    answer = as_coach.post(
        address("save_film", pairing), {"speed": "1", "hold_s": "2"}, headers=HTMX
    )
    assert answer.status_code == 422
    assert "120 is the most" in answer.content.decode()


def test_with_a_clip_removed_nothing_is_saved(as_coach: Client, pairing: Pairing):
    pairing.sides.first().clip.remove()
    answer = as_coach.post(address("save_still", pairing), {"clock_us": "0"}, headers=HTMX)
    assert answer.status_code == 422
    assert "was removed" in answer.content.decode()


def test_without_htmx_it_leads_back_to_the_pairing(as_coach: Client, pairing: Pairing):
    answer = as_coach.post(address("save_still", pairing), {"clock_us": "0"})
    assert answer.url == address("pairing", pairing)


def test_its_words_and_place_are_kept(as_coach: Client, saved: SavedPairing):
    as_coach.post(address("edit", saved), {"caption": "Hips level now"}, headers=HTMX)
    saved.refresh_from_db()
    assert (saved.caption, saved.in_recap) == ("Hips level now", False)


def test_a_caption_that_is_too_long_is_told(as_coach: Client, saved: SavedPairing):
    answer = as_coach.post(address("edit", saved), {"caption": "x" * 201}, headers=HTMX)
    assert answer.status_code == 422
    assert "200 letters" in answer.content.decode()


def test_one_under_way_is_stopped_and_made_again(as_coach: Client, pairing: Pairing):
    row = save_film(pairing, 0.5, [], 2)
    page = as_coach.post(address("cancel", row), headers=HTMX).content.decode()
    assert "You stopped the film" in page
    assert SavedPairing.claim(row.pk) is None
    as_coach.post(address("again", row), headers=HTMX)
    row.refresh_from_db()
    assert (row.state, row.attempts) == (SavedPairing.State.WANTED, 0)


@pytest.mark.parametrize("may_pass_later", [True, False])
def test_a_failed_one_says_why_and_goes_again_only_where_that_can_help(
    as_coach: Client, pairing: Pairing, may_pass_later: bool
):
    row = factories.SavedPairingFactory(
        pairing=pairing,
        state=SavedPairing.State.FAILED,
        reason="The original is gone.",
        may_pass_later=may_pass_later,
    )
    page = as_coach.get(address("saved", pairing)).content.decode()
    assert "The original is gone." in page
    assert ("Try again" in page) == may_pass_later
    as_coach.post(address("again", row), headers=HTMX)
    row.refresh_from_db()
    assert (row.state == SavedPairing.State.WANTED) == may_pass_later


def test_a_removed_one_is_offered_back(as_coach: Client, saved: SavedPairing):
    page = as_coach.post(address("remove_saved", saved), headers=HTMX).content.decode()
    assert address("restore_saved", saved) in page
    assert as_coach.get(address("file", saved)).status_code == 404
    as_coach.post(address("restore_saved", saved), headers=HTMX)
    assert as_coach.get(address("file", saved)).status_code == 200


def test_a_picture_has_no_poster(as_coach: Client, saved: SavedPairing):
    assert as_coach.get(address("poster", saved)).status_code == 404


WAYS = [
    *(("save_still", "post"), ("save_film", "post"), ("saved", "get")),
    *(("edit", "post"), ("cancel", "post"), ("again", "post")),
    *(("remove_saved", "post"), ("restore_saved", "post"), ("file", "get"), ("poster", "get")),
]
OF_PAIRING = {"save_still", "save_film", "saved"}


@pytest.mark.parametrize(("name", "method"), WAYS)
@pytest.mark.parametrize("who", ["as_other_coach", "as_student", "as_guardian"])
def test_of_a_draft_it_refuses_all_but_the_coach(
    who: str, request: pytest.FixtureRequest, saved: SavedPairing, name: str, method: str
):
    row = saved.pairing if name in OF_PAIRING else saved
    answer = getattr(request.getfixturevalue(who), method)(address(name, row))
    assert answer.status_code == 404


@pytest.mark.parametrize(("name", "method"), WAYS)
def test_it_sends_the_signed_out_to_sign_in(
    as_nobody: Client, saved: SavedPairing, name: str, method: str
):
    row = saved.pairing if name in OF_PAIRING else saved
    answer = getattr(as_nobody, method)(address(name, row))
    assert answer.url.startswith("/accounts/login/")


@pytest.mark.parametrize(("name", "method"), WAYS)
def test_it_refuses_another_method(as_coach: Client, saved: SavedPairing, name: str, method: str):
    row = saved.pairing if name in OF_PAIRING else saved
    other = "post" if method == "get" else "get"
    assert getattr(as_coach, other)(address(name, row)).status_code == 405
