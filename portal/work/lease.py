"""Holding a lease while the work runs: a heartbeat in a thread, lost leases noticed."""

from __future__ import annotations

import logging
import threading
import time
import uuid
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from django.conf import settings
from django.db import DatabaseError, InterfaceError, OperationalError, connection

from portal.work.models import WorkRow

log = logging.getLogger(__name__)
# A database that is away, locked or on a full disk; its other errors are faults of a program
UNWRITABLE = (OperationalError, InterfaceError)
WRITE_AGAIN_S, WRITE_FOR_S = 1.0, 600.0


class Lease:
    """The hold on one row. `lost` is set as soon as another worker may have taken it."""

    def __init__(self, model: type[WorkRow], pk: int, token: uuid.UUID) -> None:
        self.model = model
        self.pk = pk
        self.token = token
        self.lost = threading.Event()

    def settle(self, state: str, **values: object) -> bool:
        """Write the outcome if the lease is still held; returns whether it was."""
        return self._written(lambda: self.model.settle(self.pk, self.token, state, **values))

    def put_back(self, *, counts: bool = True, **values: object) -> bool:
        """Let the row wait again after a fault that may pass; returns whether it was held."""
        return self._written(
            lambda: self.model.put_back(self.pk, self.token, counts=counts, **values)
        )

    def extend(self, **values: object) -> bool:
        """Write progress and keep the lease; notices when it is lost."""
        if not self.model.extend(self.pk, self.token, **values):
            self.lost.set()
        return not self.lost.is_set()

    def _written(self, write: Callable[[], bool]) -> bool:
        """Write how the work ended, again and again where the database can't take it.

        A worker that dropped it would look like one that died, and cost the row an attempt. It
        goes on while nobody else has the row, for some minutes. A transaction that has failed
        can't be gone on with: there the error is raised.
        """
        until = time.monotonic() + WRITE_FOR_S
        while True:
            try:
                return write()
            except UNWRITABLE as error:
                if connection.in_atomic_block or time.monotonic() > until:
                    raise
                name = self.model.__name__
                log.warning("end of %s %s not written yet: %s", name, self.pk, error)
                connection.close()
            if self.lost.wait(WRITE_AGAIN_S):
                return False


@contextmanager
def claimed(model: type[WorkRow], pk: int) -> Iterator[Lease | None]:
    """Take the lease on a row for the length of the block; None if it is not to be had.

    A thread extends it three times per lease length. Progress written by the block itself goes
    through `Lease.extend`. Leaving the block without settling leaves the row to the sweep. A
    database that can't be read or written in the middle puts it back, and counts for nothing.
    """
    token = model.claim(pk)
    if token is None:
        yield None
        return
    lease = Lease(model, pk, token)
    done = threading.Event()

    def beat() -> None:
        try:
            while not done.wait(settings.WORK_LEASE_SECONDS / 3):
                try:
                    if not lease.extend():
                        return
                except DatabaseError as error:
                    # A database that is away for a moment is no reason to drop the work
                    log.warning("lease of %s %s not extended: %s", model.__name__, pk, error)
                    connection.close()
        finally:
            connection.close()

    thread = threading.Thread(target=beat, name=f"lease-{model.__name__}-{pk}", daemon=True)
    thread.start()
    try:
        yield lease
    except UNWRITABLE:
        if not connection.in_atomic_block:
            lease.put_back(counts=False)
        raise
    finally:
        done.set()
        thread.join()
