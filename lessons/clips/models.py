"""A clip on its way from the phone to the page, and stills pulled from it."""

from __future__ import annotations

from django.contrib.auth.models import AnonymousUser
from django.db import models
from django.db.models import Q

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


# Rooms above add who else may see a clip, e.g. the clip of a drill given to a student
ALSO_VISIBLE: list = []


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
        FACE_ON = "face-on"
        DOWN_THE_LINE = "down-the-line"
        OTHER = "other"

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


class StillQuerySet(models.QuerySet["Still"]):
    def visible_to(self, user: User | AnonymousUser) -> StillQuerySet:
        return self.filter(clip__in=Clip.objects.visible_to(user))


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

    objects = StillQuerySet.as_manager()

    class Meta:
        ordering = ["clip", "time_us"]

    def __str__(self) -> str:
        return f"still of {self.clip} at {self.time_us} us"

    @property
    def title(self) -> str:
        """What to call it on a page: its caption, else its position, else its time."""
        return self.caption or self.get_position_display() or f"{self.time_us / 1e6:.3f} s"
