"""A clip on its way from the phone to the page, and stills pulled from it."""

from __future__ import annotations

from collections.abc import Callable

from django.contrib.auth.models import AnonymousUser
from django.db import models
from django.db.models import Q
from django.utils import timezone

from lessons.visits.models import Lesson, Part
from portal.accounts.models import User
from portal.files.models import Upload
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


class ClipQuerySet(models.QuerySet["Clip"]):
    def visible_to(self, user: User | AnonymousUser) -> ClipQuerySet:
        """Clips of lessons the user sees, a coach's own, and what other rooms let them see."""
        if not isinstance(user, User):
            return self.none()
        seen = Q(lesson__in=Lesson.objects.visible_to(user)) | Q(coach=user)
        for also in ALSO_VISIBLE:
            seen |= also(user)
        return self.filter(seen, removed_at__isnull=True).distinct()

    def led_by(self, user: User | AnonymousUser) -> ClipQuerySet:
        """What the coach's own pages load, removed ones too; nobody else finds anything here."""
        return self.filter(coach=user) if isinstance(user, User) else self.none()

    def current(self) -> ClipQuerySet:
        return self.filter(removed_at__isnull=True)

    def ready(self) -> ClipQuerySet:
        return self.filter(state=Clip.State.READY)


# Rooms above add who else may see a clip, e.g. the clip of a drill given to a student
ALSO_VISIBLE: list[Callable[[User], Q]] = []


class Clip(WorkRow):
    """One uploaded video. The original is never changed; renditions are made from it."""

    class State(models.TextChoices):
        RECEIVED = "received"
        PREPARING = "preparing"
        READY = "ready"
        REJECTED = "rejected"

    WAITING, RUNNING = State.RECEIVED, State.PREPARING
    DONE, FAILED = State.READY, State.REJECTED

    class View(models.TextChoices):
        FACE_ON = "face-on", "face-on"
        DOWN_THE_LINE = "down-the-line", "down-the-line"
        OTHER = "other", "other"

    # Without a lesson the clip belongs to the coach's library (a drill's picture)
    lesson = models.ForeignKey(Lesson, models.CASCADE, null=True, related_name="clips")
    coach = models.ForeignKey(User, models.PROTECT, related_name="clips")
    upload = models.OneToOneField(Upload, models.SET_NULL, null=True, related_name="clip")
    state = models.CharField(max_length=10, choices=State, default=State.RECEIVED)
    reason = models.TextField(blank=True)
    progress_permille = models.PositiveSmallIntegerField(default=0)

    part = models.CharField(max_length=6, choices=Part, default=Part.START)
    view = models.CharField(max_length=14, choices=View, default=View.FACE_ON)
    club = models.CharField(max_length=40, blank=True)
    file_name = models.CharField(max_length=255)
    created_at = models.DateTimeField(auto_now_add=True)
    removed_at = models.DateTimeField(null=True)

    original = models.FileField(max_length=200, blank=True)
    original_bytes = models.PositiveBigIntegerField(default=0)
    original_sha256 = models.CharField(max_length=64, blank=True)
    watch = models.FileField(max_length=200, blank=True)
    study = models.FileField(max_length=200, blank=True)
    poster = models.FileField(max_length=200, blank=True)
    strip = models.FileField(max_length=200, blank=True)
    # JSON: every frame's presentation time in the study rendition, integer microseconds
    times = models.FileField(max_length=200, blank=True)
    strip_count = models.PositiveSmallIntegerField(default=0)
    strip_columns = models.PositiveSmallIntegerField(default=0)
    width_px = models.PositiveSmallIntegerField(default=0)
    height_px = models.PositiveSmallIntegerField(default=0)
    duration_us = models.PositiveBigIntegerField(default=0)
    # A time of the original's clock = a time of the renditions + this
    offset_us = models.BigIntegerField(default=0)

    objects = ClipQuerySet.as_manager()

    class Meta:
        ordering = ["part", "created_at"]

    def __str__(self) -> str:
        return f"clip {self.pk} ({self.state})"

    @property
    def is_ready(self) -> bool:
        return self.state == Clip.State.READY

    @property
    def is_rejected(self) -> bool:
        return self.state == Clip.State.REJECTED

    @property
    def in_flight(self) -> bool:
        """A worker has it, or will have it."""
        return self.state in {Clip.State.RECEIVED, Clip.State.PREPARING}

    @property
    def percent(self) -> int:
        """How much of the preparation is done, as the worker last wrote it."""
        return self.progress_permille // 10

    @property
    def title(self) -> str:
        """What to call it on a page: its view and club."""
        view = self.get_view_display().capitalize()
        return f"{view}, {self.club}" if self.club else view

    def remove(self) -> bool:
        """Take it off every page; the files stay, so that it can be brought back."""
        now = timezone.now()
        return bool(Clip.objects.filter(pk=self.pk, removed_at__isnull=True).update(removed_at=now))

    def bring_back(self) -> bool:
        """Undo `remove`."""
        return bool(
            Clip.objects.filter(pk=self.pk, removed_at__isnull=False).update(removed_at=None)
        )

    def try_again(self) -> bool:
        """Let a worker prepare a rejected clip anew, with all its attempts."""
        return bool(
            Clip.objects.filter(pk=self.pk, state=Clip.State.REJECTED).update(
                state=Clip.State.RECEIVED,
                reason="",
                attempts=0,
                progress_permille=0,
                sent_at=None,
            )
        )


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
    state = models.CharField(max_length=10, choices=State, default=State.WANTED)
    reason = models.TextField(blank=True)
    # Renditions' clock; the frame is the last whose time is at most this
    time_us = models.PositiveBigIntegerField()
    position = models.CharField(max_length=3, choices=Position, blank=True)
    caption = models.CharField(max_length=200, blank=True)
    picture = models.FileField(max_length=200, blank=True)
    width_px = models.PositiveSmallIntegerField(default=0)
    height_px = models.PositiveSmallIntegerField(default=0)
    created_at = models.DateTimeField(auto_now_add=True)
    removed_at = models.DateTimeField(null=True)

    objects = StillQuerySet.as_manager()

    class Meta:
        ordering = ["clip", "time_us"]

    def __str__(self) -> str:
        return f"still of {self.clip} at {self.time_us} us"

    @property
    def title(self) -> str:
        """What to call it on a page: its caption, else its position, else its time."""
        return self.caption or self.get_position_display() or f"{self.time_us / 1e6:.3f} s"

    @property
    def is_ready(self) -> bool:
        return self.state == Still.State.READY

    @property
    def is_failed(self) -> bool:
        return self.state == Still.State.FAILED

    @property
    def in_flight(self) -> bool:
        return self.state in {Still.State.WANTED, Still.State.PULLING}

    @property
    def time_ms(self) -> int:
        """Its time in the clip, in whole milliseconds."""
        return round(self.time_us / 1000)

    def remove(self) -> bool:
        """Take it off every page; it can be brought back."""
        now = timezone.now()
        return bool(
            Still.objects.filter(pk=self.pk, removed_at__isnull=True).update(removed_at=now)
        )

    def bring_back(self) -> bool:
        """Undo `remove`."""
        return bool(
            Still.objects.filter(pk=self.pk, removed_at__isnull=False).update(removed_at=None)
        )

    def try_again(self) -> bool:
        """Let a worker pull a failed still anew, with all its attempts."""
        return bool(
            Still.objects.filter(pk=self.pk, state=Still.State.FAILED).update(
                state=Still.State.WANTED, reason="", attempts=0, sent_at=None
            )
        )
