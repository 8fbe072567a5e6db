"""Stills pulled from a clip's original."""

from __future__ import annotations

from django.contrib.auth.models import AnonymousUser
from django.db import models
from django.utils import timezone

from lessons.clips.models.clip import Clip
from lessons.clips.models.swing import Swing
from lessons.clips.models.used import is_pointed_at
from portal.accounts.models import User
from portal.work.models import WorkRow


class Position(models.TextChoices):
    """The trade's swing positions."""

    P1 = "P1", "P1 address"
    P2 = "P2", "P2 shaft parallel going back"
    P3 = "P3", "P3 lead arm parallel going back"
    P4 = "P4", "P4 top"
    P5 = "P5", "P5 lead arm parallel coming down"
    P6 = "P6", "P6 shaft parallel coming down"
    P7 = "P7", "P7 impact"
    P8 = "P8", "P8 shaft parallel after impact"
    P9 = "P9", "P9 trail arm parallel after impact"
    P10 = "P10", "P10 finish"


class StillQuerySet(models.QuerySet["Still"]):
    def visible_to(self, user: User | AnonymousUser) -> StillQuerySet:
        """Stills of visible clips that are not removed."""
        return self.current().filter(clip__in=Clip.objects.visible_to(user))

    def led_by(self, user: User | AnonymousUser) -> StillQuerySet:
        """What the coach's own pages load, removed ones too; nobody else finds anything here."""
        return self.filter(clip__in=Clip.objects.led_by(user).current())

    def current(self) -> StillQuerySet:
        return self.filter(removed_at__isnull=True)

    def ready(self) -> StillQuerySet:
        return self.filter(state=Still.State.READY)


class Still(WorkRow):
    """One frame of the original, pulled by a worker; at a position or with a caption."""

    class State(models.TextChoices):
        WANTED = "wanted"
        PULLING = "pulling"
        READY = "ready"
        FAILED = "failed"

    WAITING, RUNNING = State.WANTED, State.PULLING
    DONE, FAILED = State.READY, State.FAILED

    clip = models.ForeignKey(Clip, models.CASCADE, related_name="stills")
    # With a position: the swing that it is a position of
    swing = models.ForeignKey(Swing, models.SET_NULL, null=True, related_name="stills")
    state = models.CharField(max_length=10, choices=State, default=State.WANTED)
    reason = models.TextField(blank=True)
    # The clip's clock; the frame is the last whose time is at most this
    time_us = models.PositiveBigIntegerField()
    position = models.CharField(max_length=3, choices=Position, blank=True)
    caption = models.CharField(max_length=200, blank=True)
    picture = models.FileField(max_length=200, blank=True)
    width_px = models.PositiveSmallIntegerField(default=0)
    height_px = models.PositiveSmallIntegerField(default=0)
    created_at = models.DateTimeField(auto_now_add=True)
    removed_at = models.DateTimeField(null=True)
    # Removed because its position moved to another frame
    is_retired = models.BooleanField(default=False)

    objects = StillQuerySet.as_manager()

    class Meta:
        ordering = ["clip", "time_us"]

    def __str__(self) -> str:
        return f"still of {self.clip} at {self.time_us} us"

    @property
    def title(self) -> str:
        """What to call it on a page: its caption, else its position, else its time."""
        return self.caption or self.get_position_display() or self.time_words

    @property
    def is_ready(self) -> bool:
        return self.state == Still.State.READY

    @property
    def time_ms(self) -> int:
        """Its time in the clip as it was in life, in whole milliseconds."""
        return round(self.time_us / 1000 / self.clip.slowdown)

    @property
    def time_words(self) -> str:
        """The same as a page says it."""
        return f"{self.time_ms / 1000:.3f} s"

    def remove(self) -> bool:
        """Take it off every page; it can be brought back."""
        now = timezone.now()
        return bool(
            Still.objects.filter(pk=self.pk, removed_at__isnull=True).update(removed_at=now)
        )

    def retire(self) -> bool:
        """Take it off as its position moved to another frame; never one that is used."""
        if is_pointed_at(self):
            return False
        current = Still.objects.filter(pk=self.pk, removed_at__isnull=True)
        return bool(current.update(removed_at=timezone.now(), is_retired=True))

    def bring_back(self) -> bool:
        """Undo `remove` and `retire`."""
        removed = Still.objects.filter(pk=self.pk, removed_at__isnull=False)
        return bool(removed.update(removed_at=None, is_retired=False))

    def try_again(self) -> bool:
        """Let a worker pull a failed still anew, with all its attempts."""
        return bool(
            Still.objects.filter(pk=self.pk, state=Still.State.FAILED).update(
                state=Still.State.WANTED, reason="", attempts=0, sent_at=None
            )
        )
