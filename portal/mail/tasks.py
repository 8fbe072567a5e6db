"""The task that sends a letter."""

from __future__ import annotations

import datetime
import re
import smtplib

from celery import shared_task
from django.conf import settings
from django.core.mail import EmailMessage
from django.utils import timezone

from portal.mail.models import Letter
from portal.work.lease import claimed
from portal.work.sending import does_work

# A mail server that is away or says "later" is asked again for so long
KEEP_TRYING = datetime.timedelta(days=2)
SECRET_PART = re.compile(r"(?<=/)[\w-]{40,}(?=/)")


def without_secrets(text: str) -> str:
    """The text as it is kept after sending: what opens a door in an address is cut out."""
    return SECRET_PART.sub("...", text)


def is_for_good(error: Exception) -> bool:
    """Whether the mail server refused the letter itself, so that asking again changes nothing."""
    if isinstance(error, smtplib.SMTPRecipientsRefused):
        return all(code >= 500 for code, _ in error.recipients.values())
    return isinstance(error, smtplib.SMTPDataError) and error.smtp_code >= 500


@does_work(Letter)
@shared_task
def send_letter(pk: int) -> None:
    """Send one letter; a mail server that is away delays it, for two days at most."""
    with claimed(Letter, pk) as lease:
        if lease is None:
            return
        letter = Letter.objects.get(pk=pk)
        try:
            EmailMessage(letter.subject, letter.text, to=[letter.to], headers=letter.headers).send()
        except (smtplib.SMTPException, OSError) as error:
            refused = is_for_good(error) and letter.attempts >= settings.WORK_ATTEMPTS
            too_old = letter.created_at < timezone.now() - KEEP_TRYING
            if refused or too_old:
                lease.settle(Letter.State.FAILED, reason=str(error))
            else:
                lease.put_back(reason=str(error))
            return
        kept = without_secrets(letter.text)
        lease.settle(Letter.State.SENT, settled_at=timezone.now(), reason="", text=kept)
