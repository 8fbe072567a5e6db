"""What a worker does for paths. The row tells how far the work is."""

from __future__ import annotations

from celery import shared_task

from lessons.paths import following
from lessons.paths.models import Path
from portal.work.lease import claimed
from portal.work.sending import does_work


@does_work(Path)
@shared_task
def follow(pk: int) -> None:
    """Follow one patch from its boxes."""
    with claimed(Path, pk) as lease:
        if lease is not None:
            following.follow_patch(lease)
