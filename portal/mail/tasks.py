"""The task that sends a letter."""

from __future__ import annotations

import smtplib

from celery import shared_task
from django.conf import settings
from django.core.mail import EmailMessage
from django.utils import timezone

from portal.mail.models import Letter
from portal.work.lease import claimed
from portal.work.sending import does_work


@does_work(Letter)
@shared_task
def send_letter(pk: int) -> None:
    """Send one letter; tried again by the sweep, given up after the set number of attempts."""
    with claimed(Letter, pk) as lease:
        if lease is None:
            return
        letter = Letter.objects.get(pk=pk)
        try:
            EmailMessage(letter.subject, letter.text, to=[letter.to]).send()
        except (smtplib.SMTPException, OSError) as error:
            given_up = letter.attempts >= settings.WORK_ATTEMPTS
            state = Letter.State.FAILED if given_up else Letter.State.WAITING
            lease.settle(state, reason=str(error), sent_at=timezone.now())
            return
        lease.settle(Letter.State.SENT, settled_at=timezone.now(), reason="")
