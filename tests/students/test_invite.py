"""Inviting students and guardians."""

from __future__ import annotations

import re

import pytest
from django.core.cache import cache
from django.test import Client
from django.urls import reverse

from lessons.students.models import Guardian, Student
from portal.accounts.models import Invitation, User
from portal.mail.models import Letter
from tests.factories import GuardianFactory, StudentFactory


@pytest.fixture(autouse=True)
def nothing_counted_yet():
    cache.clear()


@pytest.fixture
def newcomer(coach: User) -> Student:
    """A student who has not signed in yet."""
    return StudentFactory(coach=coach, user=None, email="newcomer@example.org")


def page(name: str, pk: int) -> str:
    return reverse(f"students:{name}", args=[pk])


def path_in(text: str) -> str:
    return re.search(r"http://testserver(/invitations/\S+/)", text).group(1)


def test_a_student_invited_by_letter_is_linked(newcomer: Student, as_coach: Client, client: Client):
    as_coach.post(page("invite", newcomer.pk), {"way": "letter"})
    letter = Letter.objects.get()
    assert letter.to == newcomer.email
    client.post(path_in(letter.text))
    newcomer.refresh_from_db()
    assert newcomer.user.email == newcomer.email
    assert newcomer.user.role == User.Role.STUDENT
    assert newcomer in Student.objects.visible_to(newcomer.user)


def test_a_code_on_the_screen_signs_the_phone_in(
    newcomer: Student, as_coach: Client, client: Client
):
    shown = as_coach.post(page("invite", newcomer.pk), {"way": "screen"})
    html = shown.content.decode()
    assert "<svg" in html
    assert "style=" not in html
    assert not Letter.objects.exists()
    arrived = page("arrived", newcomer.pk)
    assert "Waiting for" in as_coach.get(arrived).content.decode()
    client.post(path_in(shown.context["url"]))
    newcomer.refresh_from_db()
    assert newcomer.user is not None
    assert "is signed in on their phone" in as_coach.get(arrived).content.decode()


def test_a_guardian_is_led_to_the_consent(junior: Student, as_coach: Client, client: Client):
    guardian = GuardianFactory(student=junior, user=None)
    as_coach.post(page("invite_guardian", guardian.pk), {"way": "letter"})
    answer = client.post(path_in(Letter.objects.get().text))
    assert answer.headers["Location"] == page("consent", guardian.pk)
    guardian.refresh_from_db()
    assert guardian.user.role == User.Role.GUARDIAN
    assert client.get(page("consent", guardian.pk)).status_code == 200


def test_a_guardian_of_two_keeps_one_account(
    coach: User, guardian: Guardian, as_coach: Client, client: Client
):
    sibling = StudentFactory(coach=coach, born=guardian.student.born)
    second = GuardianFactory(student=sibling, user=None, email=guardian.user.email)
    as_coach.post(page("invite_guardian", second.pk), {"way": "letter"})
    client.post(path_in(Letter.objects.get().text))
    second.refresh_from_db()
    assert second.user == guardian.user
    assert Student.objects.visible_to(guardian.user).count() == 2


@pytest.mark.parametrize("way", ["letter", "screen"])
def test_an_address_of_another_account_is_refused_at_once(
    coach: User, other_coach: User, student: Student, as_coach: Client, way: str
):
    for taken in (other_coach.email, student.user.email):
        person = StudentFactory(coach=coach, user=None, email=taken)
        answer = as_coach.post(page("invite", person.pk), {"way": way}, follow=True)
        assert "belongs to another account here" in answer.content.decode()
    assert not Invitation.objects.exists()


def test_without_an_address_nobody_is_invited(coach: User, as_coach: Client):
    person = StudentFactory(coach=coach, user=None, email="")
    answer = as_coach.post(page("invite", person.pk), {"way": "letter"}, follow=True)
    assert "Write down an e-mail address" in answer.content.decode()


def test_who_has_signed_in_is_not_invited_again(student: Student, as_coach: Client):
    answer = as_coach.post(page("invite", student.pk), {"way": "screen"}, follow=True)
    assert "has signed in already" in answer.content.decode()
    assert not Invitation.objects.exists()


def test_the_coach_withdraws_and_renews(newcomer: Student, as_coach: Client, client: Client):
    as_coach.post(page("invite", newcomer.pk), {"way": "letter"})
    first = path_in(Letter.objects.get().text)
    as_coach.post(page("withdraw", newcomer.pk))
    assert client.post(first).status_code == 410
    as_coach.post(page("invite", newcomer.pk), {"way": "letter"})
    second = path_in(Letter.objects.last().text)
    assert client.get(second).status_code == 200


def test_an_invitation_for_somebody_who_is_gone_lets_nobody_in(
    newcomer: Student, as_coach: Client, client: Client
):
    as_coach.post(page("invite", newcomer.pk), {"way": "letter"})
    newcomer.delete()
    answer = client.post(path_in(Letter.objects.get().text))
    assert answer.status_code == 409
    assert not User.objects.filter(email="newcomer@example.org").exists()


def test_a_changed_address_of_a_guardian_stops_the_old_invitation(
    junior: Student, as_coach: Client, client: Client
):
    guardian = GuardianFactory(student=junior, user=None)
    as_coach.post(page("invite_guardian", guardian.pk), {"way": "letter"})
    as_coach.post(
        page("edit_guardian", guardian.pk), {"name": "Mended", "email": "mended@example.org"}
    )
    assert client.post(path_in(Letter.objects.get().text)).status_code == 410


def test_a_changed_address_of_a_student_stops_the_old_invitation(
    newcomer: Student, as_coach: Client, client: Client
):
    as_coach.post(page("invite", newcomer.pk), {"way": "letter"})
    sent = {"name": "A Student", "handed": "right", "adult": "on", "email": "mended@example.org"}
    as_coach.post(page("edit", newcomer.pk), sent)
    assert client.post(path_in(Letter.objects.get().text)).status_code == 410


@pytest.mark.parametrize("name", ["invite_guardian", "withdraw_guardian"])
def test_others_invite_nobody(
    name: str, guardian: Guardian, as_other_coach: Client, as_student: Client, as_nobody: Client
):
    for stranger in (as_other_coach, as_student):
        assert stranger.post(page(name, guardian.pk)).status_code == 404
    assert as_nobody.post(page(name, guardian.pk)).status_code == 302
    assert not Invitation.objects.exists()


@pytest.mark.parametrize("name", ["arrived", "guardian_arrived"])
def test_others_do_not_hear_who_has_arrived(
    name: str, guardian: Guardian, as_other_coach: Client, as_guardian: Client
):
    pk = guardian.pk if name == "guardian_arrived" else guardian.student_id
    for stranger in (as_other_coach, as_guardian):
        assert stranger.get(page(name, pk)).status_code == 404


def test_inviting_is_limited(newcomer: Student, as_coach: Client):
    answers = [as_coach.post(page("invite", newcomer.pk)).status_code for _ in range(61)]
    assert answers == [302] * 60 + [429]
