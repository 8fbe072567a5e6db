"""Sign-in links."""

from __future__ import annotations

import datetime
import threading

import pytest
import time_machine
from django.db import connection
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from portal.accounts.links import LINK_LIFE, sign_in_page, sign_in_url
from portal.accounts.models import SignInLink, User
from portal.accounts.signing import sign_out_elsewhere
from tests.accounts.conftest import is_signed_in
from tests.conftest import signed_in

PROFILE = reverse("accounts:profile")


def enter_path(user: User, leads_to: str = PROFILE) -> str:
    return sign_in_url(user, leads_to).removeprefix("http://testserver")


def test_opening_it_uses_nothing_up(someone: User, client: Client):
    path = enter_path(someone)
    for _ in range(3):  # as mail scanners do
        assert f"Continue as {someone.name}" in client.get(path).content.decode()
    assert SignInLink.objects.get().is_open
    assert "_auth_user_id" not in client.session


def test_the_button_signs_in_and_leads_on(someone: User, client: Client):
    assert client.post(enter_path(someone)).headers["Location"] == PROFILE
    assert is_signed_in(client, someone)


def test_it_works_once(someone: User, client: Client):
    path = enter_path(someone)
    client.post(path)
    for again in (Client().get(path, follow=True), Client().post(path, follow=True)):
        assert again.redirect_chain[-1][0] == sign_in_page(PROFILE)
        assert "has been used or is too old" in again.content.decode()


def test_it_leads_on_at_once_where_the_person_is_signed_in(someone: User):
    path = enter_path(someone)
    assert signed_in(someone).get(path).headers["Location"] == PROFILE
    assert SignInLink.objects.get().is_open


def test_it_says_who_is_signed_out_by_it(someone: User, coach: User, as_coach: Client):
    path = enter_path(someone)
    assert f"signed in as {coach.name}" in as_coach.get(path).content.decode()
    as_coach.post(path)
    assert is_signed_in(as_coach, someone)


def test_it_expires(someone: User, client: Client):
    path = enter_path(someone)
    with time_machine.travel(timezone.now() + LINK_LIFE + datetime.timedelta(seconds=1)):
        assert client.get(path).status_code == 302
        client.post(path)
    assert "_auth_user_id" not in client.session


def test_it_lets_nobody_in_whose_account_is_closed(someone: User, client: Client):
    path = enter_path(someone)
    User.objects.filter(pk=someone.pk).update(is_active=False)
    assert client.get(path).status_code == 302
    client.post(path)
    assert "_auth_user_id" not in client.session


@pytest.mark.parametrize(
    "elsewhere",
    ["https://evil.example/", "//evil.example/", "javascript:alert(1)", "/" + "x" * 300],
)
def test_it_leads_nowhere_else(someone: User, client: Client, elsewhere: str):
    assert client.post(enter_path(someone, elsewhere)).headers["Location"] == "/"


def test_only_the_hash_of_the_token_is_stored(someone: User):
    token = enter_path(someone).split("/")[2]
    assert token not in str(SignInLink.objects.values().get())


def test_an_unknown_token_leads_to_the_sign_in_page(coach: User, client: Client):
    path = reverse("accounts:enter", args=["nonsense"])
    assert client.get(path).headers["Location"].startswith(reverse("account_login"))


def test_signing_out_elsewhere_makes_unused_links_worthless(someone: User, client: Client, rf):
    path = enter_path(someone)
    browser = signed_in(someone)
    request = browser.get(PROFILE).wsgi_request
    sign_out_elsewhere(request, someone)
    client.post(path)
    assert "_auth_user_id" not in client.session


def test_it_rejects_other_methods(someone: User, client: Client):
    assert client.put(enter_path(someone)).status_code == 405


def test_trying_tokens_is_slowed_down(coach: User, client: Client):
    path = reverse("accounts:enter", args=["nonsense"])
    assert [client.post(path).status_code for _ in range(21)] == [302] * 20 + [429]


@pytest.mark.django_db(transaction=True)
def test_of_two_at_once_one_wins():
    user = User.objects.create_user("someone@example.org", "Someone", User.Role.STUDENT)
    token = enter_path(user).split("/")[2]
    ready, wins = threading.Barrier(2), []

    def use() -> None:
        ready.wait()
        wins.append(SignInLink.use(token))
        connection.close()

    both = [threading.Thread(target=use) for _ in range(2)]
    for one in both:
        one.start()
    for one in both:
        one.join()
    assert sorted(wins) == [False, True]
