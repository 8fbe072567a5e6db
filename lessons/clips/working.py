"""What all work on a clip's original has in common: limits, progress, and how it may end."""

from __future__ import annotations

import logging
import time
from collections.abc import Iterator
from contextlib import contextmanager

from botocore.exceptions import BotoCoreError, ClientError
from django.conf import settings
from django.db import DatabaseError, connection
from django.utils import timezone

from media_tools.errors import MediaError
from media_tools.source import Limits
from portal.files.uploads import IncompleteUploadError
from portal.work.lease import Lease
from portal.work.models import WorkRow

log = logging.getLogger(__name__)
PROGRESS_EVERY_S = 1.0
# A store or a disk that is away for a while
AWAY = (OSError, BotoCoreError, ClientError)


class LeaseLost(Exception):
    """Another worker has the row, or its coach cancelled it: stop, and leave nothing behind."""


def limits() -> Limits:
    """What this site takes, as its host has set it."""
    return Limits(size_bytes=settings.MAX_CLIP_BYTES, duration_us=settings.MAX_CLIP_US)


class Progress:
    """Keeps a row's progress and notices soon that the lease is gone; for one run of ffmpeg."""

    def __init__(self, lease: Lease) -> None:
        self._lease = lease
        self._permille = 0
        self._written_at = 0.0

    def on_progress(self, fraction: float) -> None:
        """Write how far it is, not more often than a page asks for it."""
        self._permille = min(999, int(fraction * 1000))
        self._write()

    def should_stop(self) -> bool:
        """Whether the lease is lost; asks the row itself about once a second."""
        self._write()
        return self._lease.lost.is_set()

    def _write(self) -> None:
        now = time.monotonic()
        if now - self._written_at < PROGRESS_EVERY_S:
            return
        self._written_at = now
        try:
            self._lease.extend(progress_permille=self._permille)
        except DatabaseError as error:
            # A database that is away for a moment is no reason to drop the work
            log.warning("progress of %s not written: %s", self._lease.pk, error)
            connection.close()


def begin(lease: Lease) -> Progress:
    """Note that ffmpeg's run begins now, and follow it."""
    if not lease.extend(began_at=timezone.now(), progress_permille=0):
        raise LeaseLost
    return Progress(lease)


def is_spent(row: WorkRow, lease: Lease, reason: str) -> bool:
    """Fail a row that has taken the worker's process with it each time; says whether it is one."""
    if row.attempts <= settings.WORK_ATTEMPTS:
        return False
    lease.settle(row.FAILED, reason=reason, may_pass_later=True)
    return True


@contextmanager
def outcomes(row: WorkRow, lease: Lease, *, given_up: str, lost: str) -> Iterator[None]:
    """Settle the row by what goes wrong in the block.

    What may pass by itself goes back to waiting, three attempts in all; then, and at once where
    the file is at fault, it fails with a sentence: `lost` where the file is gone, `given_up` where
    the fault is not the video's.
    """
    name = f"{type(row).__name__} {row.pk}"
    try:
        yield
    except LeaseLost:
        log.info("%s: the lease is lost", name)
    except (FileNotFoundError, IncompleteUploadError) as error:
        log.warning("%s: its file is gone: %s", name, error)
        lease.settle(row.FAILED, reason=lost, may_pass_later=False)
    except MediaError as error:
        log.info("%s: %s", name, error)
        if error.may_pass_later:
            _later(row, lease, error.sentence)
        else:
            lease.settle(row.FAILED, reason=error.sentence, may_pass_later=False)
    except AWAY as error:
        log.warning("%s: %s", name, error)
        _later(row, lease, given_up)


def _later(row: WorkRow, lease: Lease, reason: str) -> None:
    """Leave it to the sweep, or give up after the last attempt."""
    if row.attempts >= settings.WORK_ATTEMPTS:
        lease.settle(row.FAILED, reason=reason, may_pass_later=True)
    else:
        lease.put_back()
