"""A letter is a row first; sending it twice sends one."""

from __future__ import annotations

import pytest
from django.core import mail
from django.core.mail.backends.locmem import EmailBackend

from portal.mail.models import Letter
from portal.mail.tasks import send_letter

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


def test_a_mail_server_that_is_away_delays_the_letter_and_then_gives_it_up(
    letter: Letter, monkeypatch, settings
):
    def refuse(self: EmailBackend, messages: list) -> int:
        raise ConnectionRefusedError("nobody there")

    monkeypatch.setattr(EmailBackend, "send_messages", refuse)
    for attempt in range(settings.WORK_ATTEMPTS):
        letter.refresh_from_db()
        assert (letter.state, letter.attempts) == (Letter.State.WAITING, attempt)
        send_letter(letter.pk)
    letter.refresh_from_db()
    assert letter.state == Letter.State.FAILED
    assert "nobody there" in letter.reason
