"""Signing in by code, link, passkey and password; what is closed."""

from __future__ import annotations

import re

import pytest
from django.test import Client
from django.urls import NoReverseMatch, reverse

from portal.accounts.models import SignInLink, User
from portal.mail.models import Letter
from tests.accounts.conftest import is_signed_in, path_in

LOGIN = reverse("account_login")
CONFIRM = reverse("account_confirm_login_code")
BY_PASSWORD = reverse("password_sign_in")
PASSWORD = "three counts to the top"


def ask(client: Client, email: str, leads_to: str = "/people/me/"):
    return client.post(LOGIN, {"login": email, "next": leads_to})


def code_in(letter: Letter) -> str:
    return re.search(r": ([A-Z0-9-]+)$", letter.subject).group(1)


def test_one_letter_carries_the_code_and_the_link(someone: User, client: Client):
    answer = ask(client, someone.email.upper())
    assert answer.headers["Location"].startswith(CONFIRM)
    letter = Letter.objects.get()
    assert letter.to == someone.email
    assert code_in(letter) in letter.text
    assert path_in(letter).startswith("/enter/")


def test_the_code_signs_in_and_leads_on(someone: User, client: Client):
    ask(client, someone.email)
    code = code_in(Letter.objects.get())
    answer = client.post(CONFIRM, {"code": code.lower(), "next": "/people/me/"})
    assert answer.headers["Location"] == "/people/me/"
    assert is_signed_in(client, someone)
    someone.refresh_from_db()
    assert someone.address_proven_at


def test_the_link_signs_in_on_another_phone_and_leads_on(someone: User, client: Client):
    ask(client, someone.email)
    other_phone = Client()
    answer = other_phone.post(path_in(Letter.objects.get()))
    assert answer.headers["Location"] == "/people/me/"
    assert is_signed_in(other_phone, someone)


def test_the_link_of_a_code_lives_as_long_as_the_code(someone: User, client: Client, settings):
    ask(client, someone.email)
    link = SignInLink.objects.get()
    life = (link.expires_at - link.created_at).total_seconds()
    assert abs(life - settings.ACCOUNT_LOGIN_BY_CODE_TIMEOUT) < 2


def test_a_wrong_code_is_refused_and_then_a_new_letter_is_needed(someone: User, client: Client):
    ask(client, someone.email)
    wrong = [client.post(CONFIRM, {"code": "AAAA-AAAA"}) for _ in range(3)]
    assert "That is not the code" in wrong[0].content.decode()
    assert wrong[-1].status_code == 302
    client.post(CONFIRM, {"code": code_in(Letter.objects.get())})
    assert "_auth_user_id" not in client.session


def test_an_unknown_address_is_not_told_apart(someone: User, client: Client):
    known, unknown = ask(client, someone.email), ask(Client(), "stranger@example.org")
    assert known.status_code == unknown.status_code == 302
    assert known.headers["Location"] == unknown.headers["Location"]
    assert Letter.objects.count() == 1


def test_no_letter_is_lost_with_the_broker(someone: User, client: Client, monkeypatch):
    def gone(*args: object, **kwargs: object) -> None:
        raise OSError("no broker")

    monkeypatch.setattr("portal.mail.tasks.send_letter.delay", gone)
    ask(client, someone.email)
    letter = Letter.objects.get()
    assert (letter.state, letter.sent_at) == (Letter.State.WAITING, None)
    assert letter in Letter.lost()


def test_letters_to_one_address_are_limited(someone: User):
    answers = [ask(Client(REMOTE_ADDR=f"10.0.0.{n}"), someone.email) for n in range(4)]
    assert [a.status_code for a in answers] == [302, 302, 302, 200]
    assert "Too many tries" in answers[-1].content.decode()
    assert Letter.objects.count() == 3


def test_the_password_signs_in_where_one_is_set(someone: User, client: Client):
    values = {"login": someone.email, "password": PASSWORD}
    assert client.post(BY_PASSWORD, values).status_code == 200
    someone.set_password(PASSWORD)
    someone.save()
    assert client.post(BY_PASSWORD, values).status_code == 302
    assert is_signed_in(client, someone)


def test_guessing_a_password_is_slowed_down(someone: User, client: Client):
    someone.set_password(PASSWORD)
    someone.save()
    for n in range(5):
        client.post(BY_PASSWORD, {"login": someone.email, "password": f"guess {n}"})
    page = client.post(BY_PASSWORD, {"login": someone.email, "password": PASSWORD})
    assert "Too many tries" in page.content.decode()
    assert "_auth_user_id" not in client.session


def test_the_sign_in_page_leads_nowhere_else(someone: User, client: Client):
    ask(client, someone.email, "https://evil.example/")
    assert SignInLink.objects.get().leads_to == "/"


def test_a_closed_account_gets_no_letter(someone: User, client: Client):
    User.objects.filter(pk=someone.pk).update(is_active=False)
    ask(client, someone.email)
    assert not Letter.objects.exists()


@pytest.mark.parametrize(
    "name",
    ["account_signup", "account_reset_password", "mfa_authenticate", "mfa_activate_totp"],
)
def test_what_is_not_wanted_has_no_address(name: str):
    with pytest.raises(NoReverseMatch):
        reverse(name)


@pytest.mark.django_db
@pytest.mark.parametrize("page", ["signup/", "password/reset/", "2fa/", "3rdparty/", "social/"])
def test_what_is_not_wanted_does_not_answer(as_coach: Client, page: str):
    assert as_coach.get(f"/accounts/{page}").status_code == 404


def test_the_pages_hold_nothing_inline(someone: User, client: Client):
    for page in (LOGIN, BY_PASSWORD):
        html = client.get(page).content.decode()
        assert "style=" not in html
        assert not re.search(r"<script(?![^>]*(src=|application/json))", html)
        assert not re.search(r"\son\w+=", html)


def test_passkey_login_answers_with_a_challenge(someone: User, client: Client):
    answer = client.get(reverse("mfa_login_webauthn"), HTTP_ACCEPT="application/json")
    assert answer.json()["request_options"]["publicKey"]["challenge"]


def test_a_made_up_passkey_is_refused(someone: User, client: Client):
    answer = client.post(reverse("mfa_login_webauthn"), {"credential": '{"id": "made up"}'})
    assert answer.headers["Location"] == LOGIN
    assert "_auth_user_id" not in client.session
