"""What beat asks for each minute."""

from __future__ import annotations

from celery import shared_task

from portal.work import sending


@shared_task
def sweep() -> None:
    """Send every forgotten row of work again."""
    sending.sweep()
