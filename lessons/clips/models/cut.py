"""Cuts: the parts of a clip that are stepped through frame by frame."""

from __future__ import annotations

from django.contrib.auth.models import AnonymousUser
from django.db import models

from lessons.clips.models.clip import Clip
from portal.accounts.models import User
from portal.work.models import LongWorkRow


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


class Cut(LongWorkRow):
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
    DONE, FAILED, CANCELLED = State.READY, State.FAILED, State.CANCELLED

    clip = models.ForeignKey(Clip, models.CASCADE, related_name="cuts")
    state = models.CharField(max_length=10, choices=State, default=State.WANTED)
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
