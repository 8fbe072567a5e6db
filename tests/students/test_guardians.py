"""Guardians: writing them down, and until when they see."""

from __future__ import annotations

import datetime

import pytest
import time_machine
from django.test import Client
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from lessons.students.consents import give_consent
from lessons.students.models import Guardian, Student, adults_born_until
from portal.accounts.models import User
from tests.factories import GuardianFactory

MERIT = {"name": "A Guardian", "email": "another@example.org"}


def page(name: str, pk: int) -> str:
    return reverse(f"students:{name}", args=[pk])


def test_it_adds_a_guardian(junior: Student, as_coach: Client):
    as_coach.post(page("add_guardian", junior.pk), MERIT)
    assert junior.guardians.get().name == "A Guardian"


@pytest.mark.parametrize("wrong", [{"name": ""}, {"email": ""}, {"email": "nowhere"}])
def test_it_refuses_bad_input(junior: Student, as_coach: Client, wrong: dict[str, str]):
    assert as_coach.post(page("add_guardian", junior.pk), MERIT | wrong).status_code == 422
    assert not junior.guardians.exists()


def test_a_guardian_needs_an_address_of_their_own(
    junior: Student, guardian: Guardian, as_coach: Client
):
    for taken in (junior.user.email, guardian.email.upper()):
        answer = as_coach.post(page("add_guardian", junior.pk), MERIT | {"email": taken})
        assert answer.status_code == 422


@pytest.mark.parametrize("name", ["edit_guardian", "paper"])
def test_others_do_not_find_the_pages(
    name: str,
    guardian: Guardian,
    as_other_coach: Client,
    as_student: Client,
    as_guardian: Client,
    as_nobody: Client,
):
    for stranger in (as_other_coach, as_student, as_guardian):
        assert stranger.get(page(name, guardian.pk)).status_code == 404
        assert stranger.post(page(name, guardian.pk), MERIT).status_code == 404
    assert as_nobody.get(page(name, guardian.pk)).status_code == 302


def test_a_guardian_without_a_record_can_be_removed(guardian: Guardian, as_coach: Client):
    as_coach.post(page("remove_guardian", guardian.pk))
    assert not Guardian.objects.exists()


def test_a_guardian_with_a_record_stays(guardian: Guardian, as_coach: Client):
    give_consent(guardian, guardian.user, "text")
    answer = as_coach.post(page("remove_guardian", guardian.pk), follow=True)
    assert "must be kept on record" in answer.content.decode()
    assert Guardian.objects.exists()


def test_removal_needs_a_button_and_the_coach(
    guardian: Guardian, as_coach: Client, as_other_coach: Client, as_guardian: Client
):
    assert as_coach.get(page("remove_guardian", guardian.pk)).status_code == 405
    for stranger in (as_other_coach, as_guardian):
        assert stranger.post(page("remove_guardian", guardian.pk)).status_code == 404
    assert Guardian.objects.exists()


def test_a_guardian_sees_until_the_eighteenth_birthday(guardian: Guardian, junior: Student):
    Student.objects.update(born=datetime.date(2010, 5, 6))
    with time_machine.travel(datetime.datetime(2028, 5, 5, 12, tzinfo=datetime.UTC)):
        assert junior in Student.objects.visible_to(guardian.user)
    with time_machine.travel(datetime.datetime(2028, 5, 6, 12, tzinfo=datetime.UTC)):
        assert junior not in Student.objects.visible_to(guardian.user)


def test_who_is_written_down_twice_sees_a_ward_once(guardian: Guardian, junior: Student):
    GuardianFactory(student=junior, user=guardian.user, email="second@example.org")
    assert list(Student.objects.visible_to(guardian.user)) == [junior]


def test_a_guardian_of_an_adult_sees_nothing(student: Student, guardian: Guardian):
    GuardianFactory(student=student, user=guardian.user)
    assert student not in Student.objects.visible_to(guardian.user)


def test_nobody_sees_nothing(student: Student, other_coach: User):
    assert not Student.objects.visible_to(other_coach).exists()
    assert not Guardian.objects.visible_to(other_coach).exists()


@given(
    born=st.dates(datetime.date(1990, 1, 1), datetime.date(2030, 1, 1)),
    today=st.dates(datetime.date(2020, 1, 1), datetime.date(2060, 1, 1)),
)
def test_the_date_of_the_query_agrees_with_the_age(born: datetime.date, today: datetime.date):
    age = Student(born=born).age_on(today)
    assert (age >= 18) == (born <= adults_born_until(today))
