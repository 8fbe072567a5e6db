"""A clip on its way from the phone to the page."""

from __future__ import annotations

from collections.abc import Callable

from django.contrib.auth.models import AnonymousUser
from django.db import models
from django.db.models import Q
from django.utils import timezone

from lessons.visits.models import Lesson, Part
from portal.accounts.models import User
from portal.files.models import Upload
from portal.work.models import LongWorkRow


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


class Clip(LongWorkRow):
    """One uploaded video. The original is never changed; renditions are made from it.

    Ready means that it can be watched; its swings are looked for and its cuts made afterwards.
    """

    class State(models.TextChoices):
        RECEIVED = "received"
        PREPARING = "preparing"
        READY = "ready"
        REJECTED = "rejected"
        CANCELLED = "cancelled"

    WAITING, RUNNING = State.RECEIVED, State.PREPARING
    DONE, FAILED, CANCELLED = State.READY, State.REJECTED, State.CANCELLED

    class View(models.TextChoices):
        FACE_ON = "face-on", "face-on"
        DOWN_THE_LINE = "down-the-line", "down-the-line"
        OTHER = "other", "other"

    # Without a lesson the clip belongs to the coach's library (a drill's picture)
    lesson = models.ForeignKey(Lesson, models.CASCADE, null=True, related_name="clips")
    coach = models.ForeignKey(User, models.PROTECT, related_name="clips")
    upload = models.OneToOneField(Upload, models.SET_NULL, null=True, related_name="clip")
    state = models.CharField(max_length=10, choices=State, default=State.RECEIVED)

    part = models.CharField(max_length=6, choices=Part, default=Part.START)
    view = models.CharField(max_length=14, choices=View, default=View.FACE_ON)
    club = models.CharField(max_length=40, blank=True)
    file_name = models.CharField(max_length=255)
    created_at = models.DateTimeField(auto_now_add=True)
    removed_at = models.DateTimeField(null=True)
    # Its removal stopped the preparation, so bringing it back takes that up again
    is_stopped = models.BooleanField(default=False)

    original = models.FileField(max_length=200, blank=True)
    original_bytes = models.PositiveBigIntegerField(default=0)
    original_sha256 = models.CharField(max_length=64, blank=True)
    watch = models.FileField(max_length=200, blank=True)
    poster = models.FileField(max_length=200, blank=True)
    strip = models.FileField(max_length=200, blank=True)
    # JSON: how loud the sound is, see media_tools.prepare
    peaks = models.FileField(max_length=200, blank=True)
    # The small grey picture in which swings are looked for
    motion = models.FileField(max_length=200, blank=True)
    # JSON: the time of every frame of the original on the clip's clock, whole microseconds
    times = models.FileField(max_length=200, blank=True)
    strip_count = models.PositiveSmallIntegerField(default=0)
    has_sound = models.BooleanField(default=False)
    width_px = models.PositiveSmallIntegerField(default=0)
    height_px = models.PositiveSmallIntegerField(default=0)
    duration_us = models.PositiveBigIntegerField(default=0)
    # The usual time between two frames, as they are stored
    frame_us = models.PositiveIntegerField(default=0)
    # A time of the original's clock = a time of the clip's + this
    offset_us = models.BigIntegerField(default=0)
    # Of a slow-motion clip that was stored stretched, as its coach says: frames a second
    filmed_hz = models.PositiveSmallIntegerField(null=True, blank=True)

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
    def stored_hz(self) -> float:
        """Frames a second as they are stored; 0 where that is not known."""
        return 1e6 / self.frame_us if self.frame_us else 0.0

    @property
    def slowdown(self) -> float:
        """How many times slower than life it plays as it is stored: 8 where 240 play as 30."""
        return self.filmed_hz / self.stored_hz if self.filmed_hz and self.frame_us else 1.0

    @property
    def title(self) -> str:
        """What to call it on a page: its view and club."""
        view = self.get_view_display().capitalize()
        return f"{view}, {self.club}" if self.club else view

    def remove(self) -> bool:
        """Take it off every page; the files stay, so that it can be brought back."""
        current = Clip.objects.filter(pk=self.pk, removed_at__isnull=True)
        return bool(current.update(removed_at=timezone.now(), is_stopped=False))

    def bring_back(self) -> bool:
        """Undo `remove`."""
        removed = Clip.objects.filter(pk=self.pk, removed_at__isnull=False)
        return bool(removed.update(removed_at=None, is_stopped=False))
