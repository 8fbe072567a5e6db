"""What beat asks for each minute, and a worker at its start."""

from __future__ import annotations

from celery import shared_task
from celery.signals import worker_ready

from portal.files.local import sweep_scratch
from portal.files.uploads import sweep_uploads
from portal.work import sending


@shared_task
def sweep() -> None:
    """Send every forgotten row of work again, let expired uploads and old scratch files go."""
    sending.sweep()
    sweep_uploads()
    sweep_scratch()


@worker_ready.connect
def sweep_at_start(**kwargs: object) -> None:
    """A site that comes back finds what was left lying."""
    sweep.delay()
