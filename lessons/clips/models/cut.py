"""Cuts: the parts of a clip that are stepped through frame by frame."""

from __future__ import annotations

from django.contrib.auth.models import AnonymousUser
from django.db import models

from lessons.clips.models.clip import Clip
from portal.accounts.models import User
from portal.work.models import WorkRow


class CutQuerySet(models.QuerySet["Cut"]):
    def visible_to(self, user: User | AnonymousUser) -> CutQuerySet:
        """Cuts of the clips that the user sees."""
        return self.filter(clip__in=Clip.objects.visible_to(user))

    def led_by(self, user: User | AnonymousUser) -> CutQuerySet:
        """What the coach's own pages load; nobody else finds anything here."""
        return self.filter(clip__in=Clip.objects.led_by(user).current())

    def ready(self) -> CutQuerySet:
        return self.filter(state=Cut.State.READY)

    def in_flight(self) -> CutQuerySet:
        return self.filter(state__in=[Cut.State.WANTED, Cut.State.MAKING])


class Cut(WorkRow):
    """A part of a clip as a study rendition: every frame of the original at its true time.

    `begin_us` and `end_us` are on the clip's clock; clip time = the file's own time + `offset_us`.
    """

    class State(models.TextChoices):
        WANTED = "wanted"
        MAKING = "making"
        READY = "ready"
        FAILED = "failed"
        CANCELLED = "cancelled"

    WAITING, RUNNING = State.WANTED, State.MAKING
    DONE, FAILED = State.READY, State.FAILED

    clip = models.ForeignKey(Clip, models.CASCADE, related_name="cuts")
    state = models.CharField(max_length=10, choices=State, default=State.WANTED)
    reason = models.TextField(blank=True)
    may_pass_later = models.BooleanField(default=False)
    progress_permille = models.PositiveSmallIntegerField(default=0)
    began_at = models.DateTimeField(null=True)
    begin_us = models.PositiveBigIntegerField()
    end_us = models.PositiveBigIntegerField()

    study = models.FileField(max_length=200, blank=True)
    # JSON: every frame's time on the clip's clock, whole microseconds
    times = models.FileField(max_length=200, blank=True)
    offset_us = models.BigIntegerField(default=0)
    missing_frames = models.PositiveIntegerField(default=0)
    created_at = models.DateTimeField(auto_now_add=True)

    objects = CutQuerySet.as_manager()

    class Meta:
        ordering = ["clip", "begin_us"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(end_us__gte=models.F("begin_us")), name="a_cut_goes_on"
            )
        ]

    def __str__(self) -> str:
        return f"cut of {self.clip} from {self.begin_us} to {self.end_us} us ({self.state})"

    @property
    def is_ready(self) -> bool:
        return self.state == Cut.State.READY

    @property
    def is_cancelled(self) -> bool:
        return self.state == Cut.State.CANCELLED

    @property
    def percent(self) -> int:
        return self.progress_permille // 10

    @property
    def begin_s(self) -> float:
        """In real time."""
        return self.begin_us / 1e6 / self.clip.slowdown

    @property
    def end_s(self) -> float:
        """In real time."""
        return self.end_us / 1e6 / self.clip.slowdown

    def holds(self, time_us: int) -> bool:
        """Whether the moment lies in it."""
        return self.begin_us <= time_us <= self.end_us

    def cancel(self) -> bool:
        """Stop it: its worker loses the lease and leaves nothing behind."""
        under_way = Cut.objects.in_flight().filter(pk=self.pk)
        return bool(under_way.update(state=Cut.State.CANCELLED, lease_token=None, lease_until=None))

    def try_again(self) -> bool:
        """Let a worker make a failed or cancelled cut anew, with all its attempts."""
        stopped = [Cut.State.FAILED, Cut.State.CANCELLED]
        return bool(
            Cut.objects.filter(pk=self.pk, state__in=stopped).update(
                state=Cut.State.WANTED,
                reason="",
                may_pass_later=False,
                attempts=0,
                progress_permille=0,
                began_at=None,
                sent_at=None,
            )
        )
