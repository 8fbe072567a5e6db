"""A pairing, its swings, and the pictures and films that are saved of it."""

from __future__ import annotations

from django.contrib.auth.models import AnonymousUser
from django.db import models
from django.db.models import F
from django.utils import timezone

from lessons.clips.models import Clip, Position, Swing
from lessons.visits.models import Lesson
from portal.accounts.models import User
from portal.work.models import LongWorkRow

FEWEST, MOST = 2, 3


class PairingQuerySet(models.QuerySet["Pairing"]):
    def led_by(self, user: User | AnonymousUser) -> PairingQuerySet:
        """What the coach's own pages load, removed ones too; nobody else finds anything here."""
        return self.filter(lesson__in=Lesson.objects.led_by(user))

    def visible_to(self, user: User | AnonymousUser) -> PairingQuerySet:
        """A pairing is the coach's to work on; a student sees what was saved of it."""
        return self.led_by(user).current()

    def current(self) -> PairingQuerySet:
        return self.filter(removed_at__isnull=True)


class Pairing(models.Model):
    """Two or three swings of one student, lined up at a position; how they are shown.

    `version` counts the savings of its settings, those of its sides too.
    """

    lesson = models.ForeignKey(Lesson, models.CASCADE, related_name="pairings")
    at = models.CharField(max_length=3, choices=Position, default=Position.P7)
    # Time is stretched so that every position of all swings falls together
    by_position = models.BooleanField(default=False)
    # Laid over one another, the others this clear; else beside one another
    over = models.BooleanField(default=False)
    opacity_percent = models.PositiveSmallIntegerField(default=50)
    zoom_percent = models.PositiveSmallIntegerField(default=100)
    with_marks = models.BooleanField(default=True)
    version = models.PositiveIntegerField(default=0)
    created_at = models.DateTimeField(auto_now_add=True)
    removed_at = models.DateTimeField(null=True)

    objects = PairingQuerySet.as_manager()

    class Meta:
        ordering = ["-created_at"]

    def __str__(self) -> str:
        return f"pairing {self.pk} of {self.lesson}"

    def replace(self, version: int, **settings: object) -> bool:
        """Keep these settings if the kept ones are still those of `version`; two at once: one wins.

        The row is read again either way.
        """
        found = Pairing.objects.filter(pk=self.pk, version=version)
        done = found.update(version=F("version") + 1, **settings)
        self.refresh_from_db()
        return bool(done)

    def remove(self) -> bool:
        """Take it off the desk, and what was saved of it off the recap; it can be brought back."""
        found = Pairing.objects.filter(pk=self.pk, removed_at__isnull=True)
        return bool(found.update(removed_at=timezone.now()))

    def bring_back(self) -> bool:
        """Undo `remove`."""
        found = Pairing.objects.filter(pk=self.pk, removed_at__isnull=False)
        return bool(found.update(removed_at=None))


class PairingSideQuerySet(models.QuerySet["PairingSide"]):
    def led_by(self, user: User | AnonymousUser) -> PairingSideQuerySet:
        """Swings of the coach's own pairings; nobody else finds anything here."""
        pairings = Pairing.objects.led_by(user).current()
        return self.filter(pairing__in=pairings, clip__removed_at__isnull=True)


class PairingSide(models.Model):
    """One swing of a pairing; or a clip in which no swing is marked."""

    pairing = models.ForeignKey(Pairing, models.CASCADE, related_name="sides")
    order = models.PositiveSmallIntegerField(default=0)
    clip = models.ForeignKey(Clip, models.CASCADE, related_name="+")
    swing = models.ForeignKey(Swing, models.SET_NULL, null=True, related_name="+")
    # Where it is lined up by hand, on the clip's clock; else where its position is
    aligned_us = models.PositiveBigIntegerField(null=True)
    mirrored = models.BooleanField(default=False)
    # Two points to match, as shares of width and height before it is mirrored: [[x, y], [x, y]]
    points = models.JSONField(null=True)
    caption = models.CharField(max_length=80, blank=True)

    objects = PairingSideQuerySet.as_manager()

    class Meta:
        ordering = ["order", "pk"]

    def __str__(self) -> str:
        return f"{self.clip} in {self.pairing}"


class SavedPairingQuerySet(models.QuerySet["SavedPairing"]):
    def led_by(self, user: User | AnonymousUser) -> SavedPairingQuerySet:
        """What the coach's own pages load, removed ones too; nobody else finds anything here."""
        return self.filter(pairing__in=Pairing.objects.led_by(user))

    def visible_to(self, user: User | AnonymousUser) -> SavedPairingQuerySet:
        """The coach's own; of a posted lesson, what was put in the recap."""
        lessons = Lesson.objects.visible_to(user)
        seen = self.current().filter(pairing__lesson__in=lessons, pairing__removed_at__isnull=True)
        if isinstance(user, User) and user.is_coach:
            return seen
        return seen.filter(in_recap=True)

    def current(self) -> SavedPairingQuerySet:
        return self.filter(removed_at__isnull=True)

    def in_recap_of(self, lesson: Lesson) -> SavedPairingQuerySet:
        """What stands in the lesson's recap to be looked at."""
        found = self.current().ready().filter(pairing__lesson=lesson, in_recap=True)
        return found.filter(pairing__removed_at__isnull=True)

    def ready(self) -> SavedPairingQuerySet:
        return self.filter(state=SavedPairing.State.READY)


class SavedPairing(LongWorkRow):
    """A picture or a film of a pairing, made by a worker from exact frames.

    `recipe` holds all that it is made of, as it was when the coach saved it.
    """

    class State(models.TextChoices):
        WANTED = "wanted"
        MAKING = "making"
        READY = "ready"
        FAILED = "failed"
        CANCELLED = "cancelled"

    WAITING, RUNNING = State.WANTED, State.MAKING
    DONE, FAILED, CANCELLED = State.READY, State.FAILED, State.CANCELLED

    class Kind(models.TextChoices):
        PICTURE = "picture", "picture"
        FILM = "film", "film"

    pairing = models.ForeignKey(Pairing, models.CASCADE, related_name="saved")
    kind = models.CharField(max_length=7, choices=Kind)
    state = models.CharField(max_length=9, choices=State, default=State.WANTED)
    recipe = models.JSONField()
    caption = models.CharField(max_length=200, blank=True)
    in_recap = models.BooleanField(default=True)
    created_at = models.DateTimeField(auto_now_add=True)
    removed_at = models.DateTimeField(null=True)

    file = models.FileField(max_length=200, blank=True)
    # Of a film: its first pause, or its beginning
    poster = models.FileField(max_length=200, blank=True)
    width_px = models.PositiveSmallIntegerField(default=0)
    height_px = models.PositiveSmallIntegerField(default=0)
    duration_us = models.PositiveBigIntegerField(default=0)

    objects = SavedPairingQuerySet.as_manager()

    class Meta:
        ordering = ["created_at"]

    def __str__(self) -> str:
        return f"{self.kind} of {self.pairing} ({self.state})"

    @property
    def is_film(self) -> bool:
        return self.kind == SavedPairing.Kind.FILM

    @property
    def alt(self) -> str:
        """It in words, for those who don't see it."""
        sides = " beside ".join(str(side["caption"]) for side in self.recipe["sides"])
        words = self.recipe["words"] or f"lined up at {self.recipe['at']}"
        return f"Your swing side by side: {sides}; {words}"

    @property
    def has_measure(self) -> bool:
        """Whether a number may stand on it, which needs its caution beside it."""
        frames = [frame for side in self.recipe["sides"] for frame in side.get("marked", [])]
        return any(
            mark["kind"] in {"angle", "ruler"} or mark.get("shows")
            for frame in frames
            for mark in frame["marks"]
        )

    @property
    def is_ready(self) -> bool:
        return self.state == SavedPairing.State.READY

    def remove(self) -> bool:
        """Take it off the recap; it can be brought back."""
        found = SavedPairing.objects.filter(pk=self.pk, removed_at__isnull=True)
        return bool(found.update(removed_at=timezone.now()))

    def bring_back(self) -> bool:
        """Undo `remove`."""
        found = SavedPairing.objects.filter(pk=self.pk, removed_at__isnull=False)
        return bool(found.update(removed_at=None))
