"""The first run."""

from __future__ import annotations

import pytest
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse

from portal.accounts.first_run import setup_code, setup_url
from portal.accounts.models import User
from tests.accounts.conftest import is_signed_in

FIRST = reverse("accounts:first")
INES = {"name": "A Coach", "email": "Coach@Example.org", "time_zone": "Europe/Dublin"}


@pytest.fixture
def own_machine(settings):
    """The site as `serve` runs it on one's own machine."""
    settings.SITE_HOST = "127.0.0.1"


@pytest.mark.django_db
def test_every_page_leads_there_while_there_is_no_coach(client: Client):
    for page in ("/", reverse("students:list"), reverse("accounts:profile")):
        assert client.get(page, follow=True).redirect_chain[-1][0] == FIRST


def test_it_is_gone_once_there_is_a_coach(coach: User, client: Client):
    assert client.get(FIRST).status_code == 404
    assert client.post(FIRST, INES).status_code == 404
    assert User.objects.count() == 1


@pytest.mark.django_db
def test_it_makes_the_coach_and_signs_them_in(client: Client, own_machine):
    assert client.post(FIRST, INES).status_code == 302
    coach = User.objects.get()
    assert (coach.email, coach.role) == ("coach@example.org", User.Role.COACH)
    assert coach.time_zone == "Europe/Dublin"
    assert not coach.has_usable_password()
    assert is_signed_in(client, coach)


@pytest.mark.django_db
def test_a_password_may_be_set_but_not_a_bad_one(client: Client, own_machine):
    page = client.post(FIRST, {**INES, "password": "password"})
    assert page.status_code == 422
    assert not User.objects.exists()
    client.post(FIRST, {**INES, "password": "a stick beside the trail hip"})
    assert User.objects.get().check_password("a stick beside the trail hip")


@pytest.mark.django_db
@pytest.mark.parametrize(
    "wrong", [{"name": ""}, {"email": "coach"}, {"email": ""}, {"time_zone": "Mars/Olympus"}]
)
def test_it_refuses_bad_input(client: Client, own_machine, wrong: dict[str, str]):
    assert client.post(FIRST, INES | wrong).status_code == 422
    assert not User.objects.exists()


@pytest.mark.django_db
def test_a_site_that_others_reach_asks_for_the_setup_code(client: Client):
    assert client.post(FIRST, INES).status_code == 422
    assert client.post(FIRST, INES | {"code": "0000-0000-0000-0000"}).status_code == 422
    assert not User.objects.exists()
    assert client.post(FIRST, INES | {"code": setup_code().upper()}).status_code == 302
    assert User.objects.get().is_coach


@pytest.mark.django_db
@pytest.mark.parametrize(
    "outside", [{"REMOTE_ADDR": "203.0.113.9"}, {"HTTP_X_FORWARDED_FOR": "203.0.113.9"}]
)
def test_a_request_from_elsewhere_asks_for_the_setup_code(client: Client, own_machine, outside):
    assert client.post(FIRST, INES, **outside).status_code == 422
    assert not User.objects.exists()


@pytest.mark.django_db
def test_the_printed_address_fills_in_the_code(client: Client):
    page = client.get(setup_url().removeprefix("http://testserver"))
    assert setup_code() in page.content.decode()


@pytest.mark.django_db
def test_guessing_codes_is_slowed_down(client: Client):
    answers = [client.post(FIRST, INES | {"code": str(n)}).status_code for n in range(11)]
    assert answers == [422] * 10 + [429]


@pytest.mark.django_db
def test_it_rejects_other_methods(client: Client):
    assert client.delete(FIRST).status_code == 405


@pytest.mark.django_db
def test_make_coach_prints_a_link_that_signs_in(client: Client, capsys):
    call_command("make_coach", "coach@example.org", "A Coach")
    link = capsys.readouterr().out.strip().splitlines()[-1]
    client.post(link.removeprefix("http://testserver"))
    assert is_signed_in(client, User.objects.get())


def test_make_coach_does_not_turn_a_student_into_a_coach(someone: User):
    with pytest.raises(CommandError, match="student"):
        call_command("make_coach", someone.email, "A Coach")


@pytest.mark.django_db
def test_setup_code_is_printed_only_while_it_is_needed(capsys):
    call_command("setup_code")
    assert setup_code() in capsys.readouterr().out
    call_command("make_coach", "coach@example.org", "A Coach")
    with pytest.raises(CommandError):
        call_command("setup_code")
