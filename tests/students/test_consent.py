"""A guardian's consent."""

from __future__ import annotations

import datetime

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from lessons.students.consents import consent_text, give_consent, withdraw_consent
from lessons.students.models import Consent, Guardian, Student
from portal.accounts.models import User
from portal.mail.models import Letter


def page(name: str, guardian: Guardian) -> str:
    return reverse(f"students:{name}", args=[guardian.pk])


def agree(client: Client, guardian: Guardian, **changes: str):
    sent = {"text": consent_text(guardian), "agreed": "1", **changes}
    return client.post(page("consent", guardian), sent)


def test_the_text_says_what_a_guardian_must_know(guardian: Guardian, as_guardian: Client):
    shown = as_guardian.get(page("consent", guardian)).content.decode()
    for words in (
        "What is filmed",
        "Who sees it",
        "How long it is kept",
        "withdraw this consent at any time",
        "safeguarding policy",
    ):
        assert words in shown


def test_giving_it_keeps_who_when_and_the_text(
    guardian: Guardian, junior: Student, as_guardian: Client
):
    assert not junior.may_be_filmed
    assert agree(as_guardian, guardian).status_code == 302
    assert junior.may_be_filmed
    kept = Consent.objects.get()
    assert (kept.by, kept.what, kept.day) == (guardian.user, "given", timezone.localdate())
    assert kept.text == consent_text(guardian)
    guardian.refresh_from_db()
    assert guardian.consent_given_by == f"{guardian.user.name}, signed in"
    assert Letter.objects.get(kind="students/consent_given").to == junior.coach.email


def test_it_needs_the_tick(guardian: Guardian, junior: Student, as_guardian: Client):
    answer = agree(as_guardian, guardian, agreed="")
    assert answer.status_code == 422
    assert "Tick that you have read it" in answer.content.decode()
    assert not junior.may_be_filmed


def test_a_text_that_has_changed_is_read_again(
    guardian: Guardian, junior: Student, as_guardian: Client
):
    answer = agree(as_guardian, guardian, text="Film all you like.")
    assert answer.status_code == 422
    assert not junior.may_be_filmed


def test_giving_it_twice_keeps_one(guardian: Guardian, as_guardian: Client):
    agree(as_guardian, guardian)
    agree(as_guardian, guardian)
    assert Consent.objects.count() == 1


def test_only_the_guardian_gives_it(
    guardian: Guardian,
    junior: Student,
    as_coach: Client,
    as_other_coach: Client,
    as_student: Client,
    as_nobody: Client,
):
    for stranger in (as_coach, as_other_coach, as_student):
        assert stranger.get(page("consent", guardian)).status_code == 404
        assert agree(stranger, guardian).status_code == 404
    assert agree(as_nobody, guardian).status_code == 302
    assert not junior.may_be_filmed


def test_withdrawing_stops_uploads_and_tells_the_coach(
    guardian: Guardian, junior: Student, as_guardian: Client
):
    agree(as_guardian, guardian)
    as_guardian.post(page("withdraw_consent", guardian), {"note": "We are moving"})
    assert not junior.may_be_filmed
    letter = Letter.objects.get(kind="students/consent_withdrawn")
    assert letter.to == junior.coach.email
    assert junior.name in letter.subject
    assert [c.what for c in Consent.objects.all()] == ["withdrawn", "given"]
    assert Consent.objects.first().note == "We are moving"


def test_a_long_note_withdraws_all_the_same(
    guardian: Guardian, junior: Student, as_guardian: Client
):
    agree(as_guardian, guardian)
    as_guardian.post(page("withdraw_consent", guardian), {"note": "x" * 5000})
    assert not junior.may_be_filmed


def test_withdrawing_twice_changes_nothing(guardian: Guardian):
    give_consent(guardian, guardian.user, "text")
    assert withdraw_consent(guardian, guardian.user)
    assert not withdraw_consent(guardian, guardian.user)
    assert Letter.objects.filter(kind="students/consent_withdrawn").count() == 1


def test_it_can_be_given_again_and_all_is_kept(
    guardian: Guardian, junior: Student, as_guardian: Client
):
    agree(as_guardian, guardian)
    as_guardian.post(page("withdraw_consent", guardian))
    agree(as_guardian, guardian)
    assert junior.may_be_filmed
    assert Consent.objects.count() == 3


def test_only_the_guardian_withdraws_on_their_page(
    guardian: Guardian, junior: Student, as_coach: Client, as_student: Client, as_guardian: Client
):
    give_consent(guardian, guardian.user, "text")
    for stranger in (as_coach, as_student):
        assert stranger.post(page("withdraw_consent", guardian)).status_code == 404
    assert as_guardian.get(page("withdraw_consent", guardian)).status_code == 405
    assert junior.may_be_filmed


def test_one_guardians_consent_is_enough_and_one_withdrawal_is_only_their_own(
    guardian: Guardian, junior: Student
):
    other = Guardian.objects.create(student=junior, name="Other", email="other@example.org")
    give_consent(guardian, guardian.user, "text")
    assert junior.may_be_filmed
    assert not withdraw_consent(other, guardian.user)
    assert junior.may_be_filmed


def test_the_coach_records_a_signed_paper(
    coach: User, guardian: Guardian, junior: Student, as_coach: Client
):
    sent = {"signed_on": "2026-01-02", "note": "The venue's form, in the folder at the desk"}
    as_coach.post(page("paper", guardian), sent)
    assert junior.may_be_filmed
    kept = Consent.objects.get()
    assert (kept.what, kept.by, kept.day) == ("on paper", coach, datetime.date(2026, 1, 2))
    assert kept.note == sent["note"]


@pytest.mark.parametrize(
    "wrong", [{"signed_on": ""}, {"signed_on": "2999-01-01"}, {"note": ""}, {"signed_on": "soon"}]
)
def test_a_paper_needs_its_day_and_a_note(
    guardian: Guardian, junior: Student, as_coach: Client, wrong: dict[str, str]
):
    sent = {"signed_on": "2026-01-02", "note": "A form"} | wrong
    assert as_coach.post(page("paper", guardian), sent).status_code == 422
    assert not junior.may_be_filmed


def test_the_coach_records_a_withdrawal(
    guardian: Guardian, junior: Student, as_coach: Client, as_other_coach: Client
):
    give_consent(guardian, guardian.user, "text")
    assert as_other_coach.post(page("record_withdrawal", guardian)).status_code == 404
    assert junior.may_be_filmed
    as_coach.post(page("record_withdrawal", guardian))
    assert not junior.may_be_filmed
    assert as_coach.get(page("record_withdrawal", guardian)).status_code == 405


def test_a_grown_up_needs_no_consent(guardian: Guardian, junior: Student, as_guardian: Client):
    Student.objects.update(born=datetime.date(1990, 1, 1))
    assert agree(as_guardian, guardian).status_code == 404
    assert "decides alone now" in as_guardian.get(page("consent", guardian)).content.decode()


def test_the_guardians_own_page_names_what_is_asked(guardian: Guardian, as_guardian: Client):
    shown = as_guardian.get(reverse("accounts:profile")).content.decode()
    assert "asks for your consent" in shown
    assert page("consent", guardian) in shown
