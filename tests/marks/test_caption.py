"""Naming a still: POST /stills/<pk>/caption/."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from lessons.clips.models import Still

HTMX = {"HX-Request": "true"}


def address(still: Still) -> str:
    return reverse("marks:caption", args=[still.pk])


def test_it_keeps_position_and_caption(as_coach: Client, still: Still):
    answer = as_coach.post(address(still), {"position": "P4", "caption": "Top"}, headers=HTMX)
    assert "Saved" in answer.content.decode()
    still.refresh_from_db()
    assert (still.position, still.caption) == ("P4", "Top")


def test_without_htmx_it_goes_back_to_the_still(as_coach: Client, still: Still):
    answer = as_coach.post(address(still), {"position": "", "caption": "Top"})
    assert answer["Location"] == reverse("marks:still", args=[still.pk])


def test_it_changes_nothing_else(as_coach: Client, still: Still):
    """A worker may be at the row meanwhile: only what was typed is written."""
    Still.objects.update(state=Still.State.PULLING, attempts=2)
    as_coach.post(address(still), {"position": "P1", "caption": ""}, headers=HTMX)
    still.refresh_from_db()
    assert (still.state, still.attempts, still.position) == (Still.State.PULLING, 2, "P1")


@pytest.mark.parametrize("sent", [{"position": "P11"}, {"caption": "x" * 201}])
def test_it_refuses_bad_input_and_keeps_what_was_typed(
    as_coach: Client, still: Still, sent: dict[str, str]
):
    answer = as_coach.post(address(still), {"position": "", "caption": "", **sent}, headers=HTMX)
    assert answer.status_code == 422
    assert 'role="alert"' in answer.content.decode()
    still.refresh_from_db()
    assert (still.position, still.caption) == ("", "")


def test_bad_input_without_htmx_shows_the_page_again(as_coach: Client, still: Still):
    answer = as_coach.post(address(still), {"position": "P11", "caption": "Kept"})
    assert answer.status_code == 422
    page = answer.content.decode()
    assert "<html" in page
    assert "Kept" in page


def test_it_refuses_other_methods(as_coach: Client, still: Still):
    assert as_coach.get(address(still)).status_code == 405


def test_it_sends_nobody_to_the_sign_in(as_nobody: Client, still: Still):
    assert as_nobody.post(address(still), {"caption": "x"}).status_code == 302


@pytest.mark.parametrize("who", ["as_student", "as_other_student", "as_guardian", "as_other_coach"])
def test_it_is_for_the_coach_alone(request: pytest.FixtureRequest, posted_still: Still, who: str):
    client = request.getfixturevalue(who)
    assert client.post(address(posted_still), {"caption": "x"}).status_code == 404
