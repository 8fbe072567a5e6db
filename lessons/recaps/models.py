"""The write-up of a lesson: main point, findings, stills, text; and who has seen it."""

from __future__ import annotations

import uuid

from django.contrib.auth.models import AnonymousUser
from django.db import models

from lessons.clips.models import Still
from lessons.visits.models import Lesson
from portal.accounts.models import User


class RecapQuerySet(models.QuerySet["Recap"]):
    def visible_to(self, user: User | AnonymousUser) -> RecapQuerySet:
        return self.filter(lesson__in=Lesson.objects.visible_to(user))


class Recap(models.Model):
    """One lesson's write-up. A draft until the lesson is posted; edits after that are shown."""

    lesson = models.OneToOneField(Lesson, models.CASCADE, related_name="recap")
    main_point = models.CharField(max_length=200, blank=True)
    body = models.TextField(blank=True)
    # Counts the savings. The open page that saved last, and the version before its unbroken run of
    # savings, let that page go on when the answer to a saving got lost on the way
    version = models.PositiveIntegerField(default=0)
    saved_by = models.UUIDField(null=True, editable=False)
    saved_since = models.PositiveIntegerField(default=0, editable=False)
    changed_at = models.DateTimeField(auto_now=True)
    # When it was last changed after posting, and when a letter last said so
    edited_at = models.DateTimeField(null=True, blank=True)
    told_at = models.DateTimeField(null=True, blank=True)

    objects = RecapQuerySet.as_manager()

    def __str__(self) -> str:
        return f"recap of {self.lesson}"

    @property
    def has_untold_change(self) -> bool:
        """Changed after posting, and no letter has said so yet."""
        if self.edited_at is None:
            return False
        return self.told_at is None or self.told_at < self.edited_at


class FindingQuerySet(models.QuerySet["Finding"]):
    def still_open(self) -> FindingQuerySet:
        """What a student still works on; what holds, and what has no words, needs no carrying."""
        return self.exclude(standing=Finding.Standing.HOLDING).exclude(what="")


class Finding(models.Model):
    """One thing seen: what, why, what it does to the ball, and how it stands."""

    class Standing(models.TextChoices):
        NEW = "new"
        WORKING = "working on it"
        BETTER = "better"
        HOLDING = "holding"

    # Made by the page on which it is written, so that saving twice writes it once
    key = models.UUIDField(default=uuid.uuid4, editable=False)
    recap = models.ForeignKey(Recap, models.CASCADE, related_name="findings")
    what = models.CharField(max_length=200, blank=True)
    why = models.TextField(blank=True)
    ball = models.TextField(blank=True)
    standing = models.CharField(max_length=13, choices=Standing, default=Standing.NEW)
    order = models.PositiveSmallIntegerField(default=0)
    came_from = models.ForeignKey("self", models.SET_NULL, null=True, related_name="went_to")

    objects = FindingQuerySet.as_manager()

    class Meta:
        ordering = ["order", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["recap", "key"], name="a_finding_once_per_recap")
        ]

    def __str__(self) -> str:
        return self.what


class RecapStillQuerySet(models.QuerySet["RecapStill"]):
    def current(self) -> RecapStillQuerySet:
        """Those that stand: a still that was removed keeps its place, in case it comes back."""
        return self.filter(still__removed_at__isnull=True, still__clip__removed_at__isnull=True)


class RecapStill(models.Model):
    """A still shown in the recap, in order, with its caption there."""

    recap = models.ForeignKey(Recap, models.CASCADE, related_name="stills")
    still = models.ForeignKey(Still, models.CASCADE, related_name="recap_stills")
    caption = models.CharField(max_length=200, blank=True)
    order = models.PositiveSmallIntegerField(default=0)

    objects = RecapStillQuerySet.as_manager()

    class Meta:
        ordering = ["order", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["recap", "still"], name="a_still_once_per_recap")
        ]

    def __str__(self) -> str:
        return f"{self.still} in {self.recap}"


class Seen(models.Model):
    """Who has opened the posted recap, first and last."""

    recap = models.ForeignKey(Recap, models.CASCADE, related_name="seen")
    user = models.ForeignKey(User, models.CASCADE, related_name="+")
    first_at = models.DateTimeField(auto_now_add=True)
    last_at = models.DateTimeField(auto_now=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["recap", "user"], name="seen_once_per_user")]

    def __str__(self) -> str:
        return f"{self.user} saw {self.recap}"
