"""A letter is a row first; sending it twice sends one."""

from __future__ import annotations

import datetime
import smtplib

import pytest
from django.core import mail
from django.core.mail.backends.locmem import EmailBackend
from django.utils import timezone

from portal.accounts.models import SignInLink
from portal.mail.models import Letter
from portal.mail.tasks import KEEP_TRYING, send_letter
from tests.work.rest import rested

pytestmark = pytest.mark.django_db


@pytest.fixture
def letter() -> Letter:
    return Letter.objects.create(
        kind="test/test", to="a@example.org", subject="Hello", text="Words"
    )


def test_it_sends_the_letter_once_however_often_it_is_asked(letter: Letter):
    send_letter(letter.pk)
    send_letter(letter.pk)
    assert [m.subject for m in mail.outbox] == ["Hello"]
    assert mail.outbox[0].to == ["a@example.org"]
    letter.refresh_from_db()
    assert letter.state == Letter.State.SENT


def failing_with(error: Exception):
    def refuse(self: EmailBackend, messages: list) -> int:
        raise error

    return refuse


def test_a_mail_server_that_is_away_delays_the_letter_and_never_loses_it(
    letter: Letter, monkeypatch, settings
):
    refuse = failing_with(ConnectionRefusedError("nobody there"))
    monkeypatch.setattr(EmailBackend, "send_messages", refuse)
    for _ in range(settings.WORK_ATTEMPTS + 3):
        send_letter(rested(letter))
    letter.refresh_from_db()
    assert letter.state == Letter.State.WAITING
    assert "nobody there" in letter.reason
    monkeypatch.undo()
    send_letter(rested(letter))
    assert len(mail.outbox) == 1


def test_it_gives_a_letter_up_after_two_days(letter: Letter, monkeypatch):
    refuse = failing_with(ConnectionRefusedError("nobody there"))
    monkeypatch.setattr(EmailBackend, "send_messages", refuse)
    long_ago = timezone.now() - KEEP_TRYING - datetime.timedelta(seconds=1)
    Letter.objects.update(created_at=long_ago)
    send_letter(letter.pk)
    letter.refresh_from_db()
    assert letter.state == Letter.State.FAILED


def test_an_address_refused_for_good_is_given_up_after_the_set_attempts(
    letter: Letter, monkeypatch, settings
):
    refusal = smtplib.SMTPRecipientsRefused({letter.to: (550, b"no such person")})
    monkeypatch.setattr(EmailBackend, "send_messages", failing_with(refusal))
    for attempt in range(settings.WORK_ATTEMPTS):
        letter.refresh_from_db()
        assert (letter.state, letter.attempts) == (Letter.State.WAITING, attempt)
        send_letter(rested(letter))
    letter.refresh_from_db()
    assert letter.state == Letter.State.FAILED
    assert "no such person" in letter.reason


def test_what_opens_a_door_is_not_kept_after_sending(letter: Letter):
    address = f"https://carryover.example/enter/{SignInLink.new_token()}/"
    Letter.objects.update(text=f"Open {address} today")
    send_letter(letter.pk)
    assert address in mail.outbox[0].body
    letter.refresh_from_db()
    assert letter.text == "Open https://carryover.example/enter/.../ today"
