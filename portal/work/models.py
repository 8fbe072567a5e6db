"""`WorkRow`: what a row needs so that one worker does its work, once, however often it is sent."""

from __future__ import annotations

import datetime
import uuid
from collections.abc import Iterable

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Now

SENT_AGAIN_AFTER = datetime.timedelta(minutes=2)


def lease_length() -> datetime.timedelta:
    """How long a worker that says nothing keeps its work."""
    return datetime.timedelta(seconds=settings.WORK_LEASE_SECONDS)


class WorkRow(models.Model):
    """A row that a worker brings from `WAITING` to `DONE` or `FAILED`, one worker at a time.

    Subclasses name their own states: `WAITING`, `RUNNING`, `DONE` and `FAILED` are class
    attributes that hold values of their `state` field. The lease is held by `lease_token`, a
    fencing token: whoever lost the lease can no longer write the outcome. Leases are measured by
    the database's clock, the one clock that all workers share.
    """

    WAITING: str
    RUNNING: str
    DONE: str
    FAILED: str
    state: models.CharField
    # Why it failed, or waits though it is its turn; HeldNotice tells nobody and has none
    reason: models.TextField

    lease_token = models.UUIDField(null=True, editable=False)
    lease_until = models.DateTimeField(null=True, editable=False)
    attempts = models.PositiveSmallIntegerField(default=0, editable=False)
    sent_at = models.DateTimeField(null=True, editable=False)

    class Meta:
        abstract = True

    @property
    def in_flight(self) -> bool:
        """It waits for a worker, or one is at it."""
        return self.state in {self.WAITING, self.RUNNING}

    @property
    def is_failed(self) -> bool:
        return self.state == self.FAILED

    @property
    def waits_because(self) -> str:
        """What it waits for other than its turn, as a sentence; empty where it is only that."""
        return self.reason if self.state == self.WAITING else ""

    @classmethod
    def claim(cls, pk: int) -> uuid.UUID | None:
        """Take the lease on a row that waits or whose lease has lapsed; None if another has it."""
        token = uuid.uuid4()
        free = cls.ripe() | cls.lapsed()
        taken = cls._default_manager.filter(free, pk=pk).update(
            state=cls.RUNNING,
            lease_token=token,
            lease_until=Now() + lease_length(),
            attempts=F("attempts") + 1,
        )
        return token if taken else None

    @classmethod
    def extend(cls, pk: int, token: uuid.UUID, **values: object) -> bool:
        """Keep the lease a while longer, and write progress; False if it is no longer held."""
        held = cls._default_manager.filter(pk=pk, lease_token=token, state=cls.RUNNING)
        return bool(held.update(lease_until=Now() + lease_length(), **values))

    @classmethod
    def settle(cls, pk: int, token: uuid.UUID, state: str, **values: object) -> bool:
        """Write the outcome, if the lease is still held. Returns whether it was."""
        held = cls._default_manager.filter(pk=pk, lease_token=token, state=cls.RUNNING)
        changes = {"state": state, "lease_token": None, "lease_until": None, **values}
        return bool(held.update(**changes))

    @classmethod
    def put_back(cls, pk: int, token: uuid.UUID, *, counts: bool = True, **values: object) -> bool:
        """Let the row wait again after a fault that may pass, if the lease is still held.

        `lease_until` is then the time before which nobody takes it up: messages that were sent
        twice would use up its attempts while the fault still lasts. `counts` False gives it all
        its attempts back, for a fault that is neither the work's nor its worker's: a full disk
        may last for days, and it may also have kept an earlier worker from writing how it ended.
        """
        held = cls._default_manager.filter(pk=pk, lease_token=token, state=cls.RUNNING)
        rest: dict[str, object] = {
            "lease_token": None,
            "lease_until": Now() + SENT_AGAIN_AFTER,
            "sent_at": Now(),
        }
        if not counts:
            rest["attempts"] = 0
        return bool(held.update(state=cls.WAITING, **{**rest, **values}))

    @classmethod
    def ripe(cls) -> Q:
        """Rows that wait, and that may be taken up now."""
        resting = Q(lease_until__gt=Now()) & Q(lease_until__lte=Now() + SENT_AGAIN_AFTER)
        return Q(state=cls.WAITING) & (Q(lease_until__isnull=True) | ~resting)

    @classmethod
    def lapsed(cls) -> Q:
        """Rows whose lease is over, or ends later than any lease can: the clock was set back."""
        over = Q(lease_until__lt=Now()) | Q(lease_until__gt=Now() + 2 * lease_length())
        return Q(state=cls.RUNNING) & over

    @classmethod
    def lost(cls) -> models.QuerySet:
        """Rows that nobody works on: never sent, sent long ago, or with a lapsed lease.

        Sent at a time to come counts as long ago: the clock was set back since.
        """
        waiting = cls.ripe() & (
            Q(sent_at__isnull=True)
            | Q(sent_at__lt=Now() - SENT_AGAIN_AFTER)
            | Q(sent_at__gt=Now() + SENT_AGAIN_AFTER)
        )
        return cls._default_manager.filter(waiting | cls.lapsed()).order_by("pk")


def waiting_for(rows: Iterable[WorkRow]) -> str:
    """What rows wait for other than their turn, told once for all of them; mostly empty."""
    return next((row.waits_because for row in rows if row.waits_because), "")


class LongWorkRow(WorkRow):
    """Work that takes its time: it tells how far it is, can be cancelled, and can begin anew."""

    CANCELLED: str

    reason = models.TextField(blank=True)
    # Of a failed one: whether the same work may succeed another time
    may_pass_later = models.BooleanField(default=False)
    progress_permille = models.PositiveSmallIntegerField(default=0)
    # When the worker began to make it: with the progress it tells the time left
    began_at = models.DateTimeField(null=True)

    class Meta:
        abstract = True

    @property
    def is_cancelled(self) -> bool:
        return self.state == self.CANCELLED

    @property
    def percent(self) -> int:
        """How much of it is done, as the worker last wrote it."""
        return self.progress_permille // 10

    @property
    def may_go_again(self) -> bool:
        """Whether doing it once more can help."""
        return self.is_cancelled or (self.is_failed and self.may_pass_later)

    def cancel(self) -> bool:
        """Stop it. The worker loses its lease and takes back what it wrote."""
        under_way = Q(pk=self.pk, state__in=[self.WAITING, self.RUNNING])
        rows = type(self)._default_manager.filter(under_way)
        changes = {"state": self.CANCELLED, "reason": ""}
        return bool(rows.update(lease_token=None, lease_until=None, **changes))

    def begin_anew(self) -> bool:
        """Let a worker do it once more, with all its attempts; False where that can't help."""
        stopped = Q(state=self.CANCELLED) | Q(state=self.FAILED, may_pass_later=True)
        changes = {"state": self.WAITING, "reason": "", "may_pass_later": False, "attempts": 0}
        done = {"progress_permille": 0, "began_at": None, "sent_at": None}
        rows = type(self)._default_manager.filter(stopped, pk=self.pk)
        return bool(rows.update(**changes, **done))
