"""One's own page, password, address, and signing out."""

from __future__ import annotations

import datetime

import pytest
import time_machine
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from portal.accounts.middleware import time_zone_of
from portal.accounts.models import User
from portal.mail.models import Letter
from tests.accounts.conftest import is_signed_in, path_in
from tests.conftest import signed_in

PROFILE = reverse("accounts:profile")
PASSWORD = reverse("accounts:password")
ELSEWHERE = reverse("accounts:elsewhere")
EMAIL = reverse("account_email")
NEW = "feet together at the finish"


@pytest.fixture
def as_someone(someone: User) -> Client:
    return signed_in(someone)


@pytest.mark.parametrize("page", [PROFILE, PASSWORD, EMAIL, reverse("mfa_list_webauthn")])
def test_the_signed_out_are_asked_to_sign_in(coach: User, client: Client, page: str):
    answer = client.get(page)
    assert answer.headers["Location"].startswith(reverse("account_login"))


def test_it_changes_name_and_time_zone(someone: User, as_someone: Client):
    as_someone.post(PROFILE, {"name": "Some One", "time_zone": "America/Lima"})
    someone.refresh_from_db()
    assert (someone.name, someone.time_zone) == ("Some One", "America/Lima")


def test_it_changes_nothing_else(someone: User, as_someone: Client):
    sent = {"name": "X", "time_zone": "UTC", "role": "coach", "email": "evil@example.org"}
    as_someone.post(PROFILE, sent)
    someone.refresh_from_db()
    assert (someone.role, someone.email) == ("student", "someone@example.org")


def test_it_refuses_a_time_zone_that_is_none(someone: User, as_someone: Client):
    page = as_someone.post(PROFILE, {"name": "X", "time_zone": "Mars/Olympus"})
    assert page.status_code == 422
    someone.refresh_from_db()
    assert someone.time_zone == ""


def test_it_rejects_other_methods(as_someone: Client):
    assert as_someone.delete(PROFILE).status_code == 405
    assert as_someone.get(ELSEWHERE).status_code == 405
    assert as_someone.delete(PASSWORD).status_code == 405


@pytest.mark.parametrize(
    "name", ["Mars/Olympus", "Europe", "../etc/passwd", "/etc/localtime", "x" * 64]
)
def test_a_bad_name_of_a_time_zone_breaks_no_page(someone: User, as_someone: Client, name: str):
    User.objects.filter(pk=someone.pk).update(time_zone=name)
    assert time_zone_of(name) is None
    assert as_someone.get(PROFILE).status_code == 200


def test_signing_out_elsewhere_keeps_this_phone(someone: User, as_someone: Client):
    other_phone = signed_in(someone)
    as_someone.post(ELSEWHERE)
    assert is_signed_in(as_someone, someone)
    assert not is_signed_in(other_phone, someone)


def test_a_password_is_set_and_told_by_letter(someone: User, as_someone: Client):
    other_phone = signed_in(someone)
    as_someone.post(PASSWORD, {"password": NEW})
    someone.refresh_from_db()
    assert someone.check_password(NEW)
    assert Letter.objects.get(kind="accounts/password_changed").to == someone.email
    assert is_signed_in(as_someone, someone)
    assert not is_signed_in(other_phone, someone)


def test_a_bad_password_is_refused_with_the_reason(someone: User, as_someone: Client):
    page = as_someone.post(PASSWORD, {"password": "golf"})
    assert page.status_code == 422
    assert "too short" in page.content.decode()


def test_a_password_can_be_done_away_with(someone: User, as_someone: Client):
    as_someone.post(PASSWORD, {"password": NEW})
    as_someone.post(PASSWORD, {"drop": "1"})
    someone.refresh_from_db()
    assert not someone.has_usable_password()


def test_a_password_is_asked_for_again_when_the_sign_in_is_old(someone: User, as_someone: Client):
    as_someone.post(PASSWORD, {"password": NEW})
    with time_machine.travel(timezone.now() + datetime.timedelta(hours=1)):
        answer = as_someone.get(PASSWORD)
        again = answer.headers["Location"]
        assert again.startswith(reverse("account_reauthenticate"))
        assert "Is it you?" in as_someone.get(again).content.decode()
        assert as_someone.post(again, {"password": "wrong", "next": PASSWORD}).status_code == 200
        passed = as_someone.post(again, {"password": NEW, "next": PASSWORD})
        assert passed.headers["Location"] == PASSWORD


def test_the_address_changes_only_when_the_new_one_is_proven(someone: User, as_someone: Client):
    as_someone.post(EMAIL, {"action_add": "1", "email": "moved@example.org"})
    someone.refresh_from_db()
    assert someone.email == "someone@example.org"
    assert "moved@example.org" in as_someone.get(PROFILE).content.decode()
    letter = Letter.objects.get(kind="accounts/new_address")
    assert letter.to == "moved@example.org"
    path = path_in(letter)
    assert "moved@example.org" in as_someone.get(path).content.decode()
    assert as_someone.post(path).headers["Location"] == PROFILE
    someone.refresh_from_db()
    assert someone.email == "moved@example.org"
    told = Letter.objects.get(kind="accounts/address_changed")
    assert told.to == "someone@example.org"


def test_an_address_in_use_is_refused(someone: User, coach: User, as_someone: Client):
    page = as_someone.post(EMAIL, {"action_add": "1", "email": coach.email})
    assert "already uses this address" in page.content.decode()
    assert not Letter.objects.exists()


def test_signing_out_takes_a_button(someone: User, as_someone: Client):
    page = as_someone.get(reverse("account_logout"))
    assert page.status_code == 200
    assert is_signed_in(as_someone, someone)
    as_someone.post(reverse("account_logout"))
    assert not is_signed_in(as_someone, someone)
