"""The swings in a clip, and the search that finds them."""

from __future__ import annotations

from django.contrib.auth.models import AnonymousUser
from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from lessons.clips.models.clip import Clip
from portal.accounts.models import User
from portal.work.models import WorkRow


class SwingSearchQuerySet(models.QuerySet["SwingSearch"]):
    def visible_to(self, user: User | AnonymousUser) -> SwingSearchQuerySet:
        """Searches of the clips that the user sees."""
        return self.filter(clip__in=Clip.objects.visible_to(user))

    def in_flight(self) -> SwingSearchQuerySet:
        return self.filter(state__in=[SwingSearch.State.WANTED, SwingSearch.State.LOOKING])


class SwingSearch(WorkRow):
    """The search for a clip's swings, once it can be watched. One a clip."""

    class State(models.TextChoices):
        WANTED = "wanted"
        LOOKING = "looking"
        DONE = "done"
        FAILED = "failed"
        CANCELLED = "cancelled"

    WAITING, RUNNING = State.WANTED, State.LOOKING
    DONE, FAILED = State.DONE, State.FAILED

    clip = models.OneToOneField(Clip, models.CASCADE, related_name="search")
    state = models.CharField(max_length=10, choices=State, default=State.WANTED)
    reason = models.TextField(blank=True)
    may_pass_later = models.BooleanField(default=False)
    # Without sound that can be used, swings are found by motion alone
    with_sound = models.BooleanField(default=False)

    objects = SwingSearchQuerySet.as_manager()

    def __str__(self) -> str:
        return f"search for the swings of {self.clip} ({self.state})"

    @property
    def is_cancelled(self) -> bool:
        return self.state == SwingSearch.State.CANCELLED

    @property
    def may_go_again(self) -> bool:
        """Whether looking once more can help."""
        return self.is_cancelled or (self.is_failed and self.may_pass_later)

    def cancel(self) -> bool:
        """Stop it: its worker loses the lease and finds nothing."""
        under_way = SwingSearch.objects.in_flight().filter(pk=self.pk)
        return bool(
            under_way.update(
                state=SwingSearch.State.CANCELLED, reason="", lease_token=None, lease_until=None
            )
        )

    def look_again(self) -> None:
        """Let a worker look anew, with all its attempts; one that is looking loses its lease."""
        SwingSearch.objects.filter(pk=self.pk).update(
            state=SwingSearch.State.WANTED,
            lease_token=None,
            lease_until=None,
            reason="",
            may_pass_later=False,
            attempts=0,
            sent_at=None,
        )


class SwingQuerySet(models.QuerySet["Swing"]):
    def visible_to(self, user: User | AnonymousUser) -> SwingQuerySet:
        """Swings of visible clips that are not removed."""
        return self.current().filter(clip__in=Clip.objects.visible_to(user))

    def led_by(self, user: User | AnonymousUser) -> SwingQuerySet:
        """What the coach's own pages load, removed ones too; nobody else finds anything here."""
        return self.filter(clip__in=Clip.objects.led_by(user).current())

    def current(self) -> SwingQuerySet:
        return self.filter(removed_at__isnull=True)

    def untouched(self) -> SwingQuerySet:
        """Found, and neither corrected, kept nor removed by the coach."""
        return self.current().filter(is_corrected=False, is_kept=False).exclude(by=Swing.By.HAND)


class Swing(models.Model):
    """One stroke inside a clip, on the clip's clock.

    What a coach sets is a frame's own time; a strike found by sound may lie between two.
    """

    class By(models.TextChoices):
        SOUND = "sound and motion", "found by sound and motion"
        MOTION = "motion", "found by motion alone"
        HAND = "hand", "added by hand"

    clip = models.ForeignKey(Clip, models.CASCADE, related_name="swings")
    begin_us = models.PositiveBigIntegerField()
    top_us = models.PositiveBigIntegerField(null=True)
    strike_us = models.PositiveBigIntegerField(null=True)
    finish_us = models.PositiveBigIntegerField()
    # The longest time between two frames in it: what a time can be off
    frame_us = models.PositiveIntegerField(default=0)
    by = models.CharField(max_length=16, choices=By)
    is_practice = models.BooleanField(default=False)
    confidence = models.FloatField(default=1.0)
    is_corrected = models.BooleanField(default=False)
    is_kept = models.BooleanField(default=False)
    created_at = models.DateTimeField(auto_now_add=True)
    removed_at = models.DateTimeField(null=True)

    objects = SwingQuerySet.as_manager()

    class Meta:
        ordering = ["clip", "begin_us"]
        constraints = [
            models.CheckConstraint(
                condition=Q(finish_us__gt=F("begin_us")), name="a_swing_goes_on"
            ),
            models.UniqueConstraint(
                fields=["clip"], condition=Q(is_kept=True), name="one_swing_is_kept"
            ),
        ]

    def __str__(self) -> str:
        return f"swing of {self.clip} from {self.begin_us} to {self.finish_us} us"

    @property
    def by_hand(self) -> bool:
        return self.by == Swing.By.HAND

    def remove(self) -> bool:
        """Take it off; it can be brought back, but is not the one to keep any more."""
        current = Swing.objects.filter(pk=self.pk, removed_at__isnull=True)
        return bool(current.update(removed_at=timezone.now(), is_kept=False))

    def bring_back(self) -> bool:
        """Undo `remove`."""
        removed = Swing.objects.filter(pk=self.pk, removed_at__isnull=False)
        return bool(removed.update(removed_at=None))
