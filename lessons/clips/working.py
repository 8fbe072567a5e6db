"""What all work on a clip's original has in common: limits, progress, and how it may end."""

from __future__ import annotations

import logging
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from django.conf import settings
from django.db import DatabaseError, connection
from django.utils import timezone

from media_tools.errors import MediaError, NoRoom
from media_tools.source import Limits
from portal.files.away import AWAY, is_full, is_store_away
from portal.files.uploads import IncompleteUploadError
from portal.work.lease import Lease
from portal.work.models import WorkRow

log = logging.getLogger(__name__)
PROGRESS_EVERY_S = 1.0
NO_ROOM = (
    "There is no room left on this site's disk. Nothing is lost: this waits, and goes on by "
    "itself once there is room. Tell the person who runs this site."
)
NO_STORE = (
    "The store of this site's files can't be reached. Nothing is lost: this waits, and goes on "
    "by itself once it can be. If that takes long, tell the person who runs this site."
)


class LeaseLost(Exception):
    """Another worker has the row, or its coach cancelled it: stop, and leave nothing behind."""


class NotYet(Exception):
    """Something else must be there first; the row waits for it, and says so in a sentence."""

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


# What may go wrong with a piece of work, other than a fault of the program
FAULTS = (NotYet, MediaError, IncompleteUploadError, *AWAY)


@dataclass(frozen=True)
class Fault:
    """What went wrong, as the person reads it, and whether another try may help."""

    sentence: str
    may_pass_later: bool
    # False: nothing of this row is at fault, so it waits however long that lasts
    counts: bool = True


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


def fault_of(error: Exception, *, given_up: str, lost: str) -> Fault:
    """What one of FAULTS means for the row: `lost` where its file is gone, `given_up` where the
    fault is not the video's.

    A full disk and a store that serves nobody say nothing about the row, and pass only when
    somebody sees to them: that may take days, so they cost no attempt. Any other error of a disk
    or a store counts, for it may be the fault of this one file and never pass.
    """
    if isinstance(error, NotYet):
        return Fault(error.sentence, may_pass_later=True, counts=False)
    if isinstance(error, NoRoom) or is_full(error):
        return Fault(NO_ROOM, may_pass_later=True, counts=False)
    if is_store_away(error):
        return Fault(NO_STORE, may_pass_later=True, counts=False)
    if isinstance(error, FileNotFoundError | IncompleteUploadError):
        return Fault(lost, may_pass_later=False)
    if isinstance(error, MediaError):
        return Fault(error.sentence, error.may_pass_later)
    return Fault(given_up, may_pass_later=True)


def note(error: Exception, name: str) -> None:
    """A word in the log; a louder one where the site is in trouble, not the video."""
    is_quiet = isinstance(error, NotYet | MediaError) and not isinstance(error, NoRoom)
    log.log(logging.INFO if is_quiet else logging.WARNING, "%s: %s", name, error)


def put_back(row: WorkRow, lease: Lease, fault: Fault) -> bool:
    """Leave the row to the sweep if another try may help; False after the last attempt."""
    if not fault.counts:
        lease.put_back(counts=False, reason=fault.sentence)
        return True
    if fault.may_pass_later and row.attempts < settings.WORK_ATTEMPTS:
        lease.put_back(reason="")
        return True
    return False


@contextmanager
def outcomes(row: WorkRow, lease: Lease, *, given_up: str, lost: str) -> Iterator[None]:
    """Settle the row by what goes wrong in the block, see `fault_of`.

    What may pass by itself goes back to waiting, three attempts in all where it counts; then, and
    at once where the file is at fault, it fails with a sentence.
    """
    name = f"{type(row).__name__} {row.pk}"
    try:
        yield
    except LeaseLost:
        log.info("%s: the lease is lost", name)
    except FAULTS as error:
        note(error, name)
        fault = fault_of(error, given_up=given_up, lost=lost)
        if not put_back(row, lease, fault):
            lease.settle(row.FAILED, reason=fault.sentence, may_pass_later=fault.may_pass_later)
