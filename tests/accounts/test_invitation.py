"""Invitations: by letter and on a screen."""

from __future__ import annotations

import datetime

import pytest
import time_machine
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from portal.accounts.invitations import SCREEN_LIFE, withdraw_invitations
from portal.accounts.links import sign_in_page
from portal.accounts.models import Invitation, User
from portal.mail.models import Letter
from tests.accounts.conftest import invited, is_signed_in, path_in
from tests.conftest import signed_in

SCREEN = Invitation.Way.SCREEN


def test_the_letter_holds_the_invitation(coach: User, client: Client):
    path = invited(coach)
    letter = Letter.objects.get()
    assert letter.to == "new@example.org"
    assert coach.name in letter.subject
    assert path_in(letter) == path


def test_opening_it_uses_nothing_up_and_names_the_coach(coach: User, client: Client):
    path = invited(coach)
    for _ in range(3):
        page = client.get(path).content.decode()
        assert coach.name in page
        assert "Continue as New Person" in page
    assert Invitation.objects.get().state == Invitation.State.OPEN
    assert not User.objects.filter(email="new@example.org").exists()


def test_accepting_makes_the_person_and_signs_them_in(coach: User, client: Client):
    client.post(invited(coach, email="New@Example.org"))
    person = User.objects.get(email="new@example.org")
    assert (person.name, person.role) == ("New Person", User.Role.STUDENT)
    assert is_signed_in(client, person)
    assert person.address_proven_at


def test_a_code_on_a_screen_does_not_prove_the_address(coach: User, client: Client):
    client.post(invited(coach, way=SCREEN))
    person = User.objects.get(email="new@example.org")
    assert is_signed_in(client, person)
    assert person.address_proven_at is None


def test_it_works_once(coach: User, client: Client):
    path = invited(coach)
    client.post(path)
    for again in (Client().get(path), Client().post(path)):
        assert again.status_code == 410
        assert "has been used" in again.content.decode()


def test_whoever_used_it_is_led_on(coach: User, client: Client):
    path = invited(coach, leads_to="/people/me/")
    assert client.post(path).headers["Location"] == "/people/me/"
    assert client.get(path).headers["Location"] == "/people/me/"


def test_it_expires_and_says_what_to_do(coach: User, client: Client, settings):
    path = invited(coach)
    later = timezone.now() + datetime.timedelta(days=settings.INVITATION_DAYS, seconds=1)
    with time_machine.travel(later):
        page = client.get(path)
        assert page.status_code == 410
        assert f"Ask {coach.name} for a new one" in page.content.decode()
        client.post(path)
    assert not User.objects.filter(email="new@example.org").exists()


def test_a_code_on_a_screen_expires_within_minutes(coach: User, client: Client):
    path = invited(coach, way=SCREEN)
    with time_machine.travel(timezone.now() + SCREEN_LIFE + datetime.timedelta(seconds=1)):
        assert client.post(path).status_code == 410


def test_a_withdrawn_one_lets_nobody_in(coach: User, client: Client):
    path = invited(coach)
    assert withdraw_invitations("nobody:1") == 1
    assert "withdrawn" in client.get(path).content.decode()
    assert client.post(path).status_code == 410
    assert not User.objects.filter(email="new@example.org").exists()


def test_a_new_one_takes_the_place_of_the_old_one(coach: User, client: Client):
    old, new = invited(coach), invited(coach)
    assert client.get(old).status_code == 410
    assert client.get(new).status_code == 200


def test_an_unknown_one_says_so(coach: User, client: Client):
    page = client.get(reverse("accounts:invitation", args=["nonsense"]))
    assert page.status_code == 410
    assert "not known here" in page.content.decode()


def test_it_never_opens_a_coachs_account(coach: User, other_coach: User, client: Client):
    for way in Invitation.Way:
        path = invited(coach, email=other_coach.email, way=way)
        page = client.post(path)
        assert page.status_code == 409
        assert "another kind of account" in page.content.decode()
        assert "_auth_user_id" not in client.session
    assert Invitation.objects.first().state == Invitation.State.OPEN


def test_a_closed_account_stays_closed(coach: User, someone: User, client: Client):
    User.objects.filter(pk=someone.pk).update(is_active=False)
    assert client.post(invited(coach, email=someone.email)).status_code == 409
    assert "_auth_user_id" not in client.session


def test_a_letter_opens_the_account_of_its_own_address(coach: User, someone: User, client: Client):
    client.post(invited(coach, email=someone.email))
    assert is_signed_in(client, someone)
    assert User.objects.filter(email=someone.email).count() == 1


def test_a_code_on_a_screen_opens_no_account_that_is_there(
    coach: User, someone: User, client: Client
):
    path = invited(coach, email=someone.email, way=SCREEN)
    answer = client.post(path)
    assert answer.headers["Location"] == sign_in_page(path)
    assert "_auth_user_id" not in client.session
    assert signed_in(someone).post(path).status_code == 302
    assert Invitation.objects.get().accepted_by == someone


def test_the_owner_of_an_address_shuts_out_whoever_used_it_before(coach: User, client: Client):
    early = Client()
    early.post(invited(coach, way=SCREEN, role="guardian"))
    person = User.objects.get(email="new@example.org")
    assert is_signed_in(early, person)
    client.post(invited(coach, role="guardian"))
    assert is_signed_in(client, person)
    assert not is_signed_in(early, person)


def test_accepting_signs_the_coach_out_of_that_browser(coach: User, as_coach: Client):
    path = invited(coach)
    assert f"signed in as {coach.name}" in as_coach.get(path).content.decode()
    as_coach.post(path)
    assert is_signed_in(as_coach, User.objects.get(email="new@example.org"))


def test_it_rejects_other_methods(coach: User, client: Client):
    assert client.patch(invited(coach)).status_code == 405


def test_trying_tokens_is_slowed_down(coach: User, client: Client):
    path = reverse("accounts:invitation", args=["nonsense"])
    assert [client.post(path).status_code for _ in range(21)] == [410] * 20 + [429]


@pytest.mark.parametrize("way", Invitation.Way)
def test_only_the_hash_of_the_token_is_stored(coach: User, way: str):
    token = invited(coach, way=way).split("/")[2]
    assert token not in str(Invitation.objects.values().get())
