"""What a worker does for practice: the reminders whose time has come."""

from __future__ import annotations

from celery import shared_task
from django.utils import timezone

from lessons.practice import reminding


@shared_task
def remind_all() -> None:
    """Asked for by the clock each minute; one that is missed is made up for within the hour."""
    for pk in reminding.due_reminders(timezone.now()):
        remind.delay(pk)


@shared_task
def remind(pk: int) -> None:
    """One reminder; sent twice, it reminds once."""
    reminding.remind(pk, timezone.now())
