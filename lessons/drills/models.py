"""Drills of a coach's library, and drills given in a lesson."""

from __future__ import annotations

import uuid

from django.contrib.auth.models import AnonymousUser
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils import timezone

from lessons.clips.models import Clip
from lessons.visits.models import Lesson
from portal.accounts.models import User


def between(least: int, most: int) -> list[MinValueValidator | MaxValueValidator]:
    """Validators whose messages stand beside a small number field."""
    return [
        MinValueValidator(least, "Write %(limit_value)s or more."),
        MaxValueValidator(most, "Write %(limit_value)s or less."),
    ]


class Dose(models.Model):
    """How much: sets x reps or minutes, and days a week."""

    sets = models.PositiveSmallIntegerField(null=True, blank=True, validators=between(1, 20))
    reps = models.PositiveSmallIntegerField(
        "times", null=True, blank=True, validators=between(1, 500)
    )
    minutes = models.PositiveSmallIntegerField(null=True, blank=True, validators=between(1, 240))
    days_a_week = models.PositiveSmallIntegerField(default=5, validators=between(1, 7))

    class Meta:
        abstract = True

    DOSE_FIELDS = ("sets", "reps", "minutes", "days_a_week")

    @property
    def dose_of_a_day(self) -> str:
        """One day's dose in words: '3 x 10', '10 minutes', '3 x 10, about 15 minutes'."""
        reps = f"{self.sets or 1} x {self.reps}" if self.reps else ""
        minutes = f"{self.minutes} minute{'' if self.minutes == 1 else 's'}" if self.minutes else ""
        if reps and minutes:
            return f"{reps}, about {minutes}"
        return reps or minutes

    @property
    def dose(self) -> str:
        """The whole dose in words: '3 x 10, 5 days a week'."""
        days = "every day" if self.days_a_week == 7 else f"{self.days_a_week} days a week"
        days = "1 day a week" if self.days_a_week == 1 else days
        return f"{self.dose_of_a_day}, {days}" if self.dose_of_a_day else days


class DrillText(models.Model):
    """The words of a drill; an assignment keeps its own copy, as given."""

    name = models.CharField(max_length=80)
    purpose = models.TextField(blank=True)
    set_up = models.TextField(blank=True)
    steps = models.TextField(blank=True)
    feel = models.TextField(blank=True)
    works_when = models.TextField(blank=True)
    slip = models.TextField(blank=True)
    equipment = models.CharField(max_length=200, blank=True)
    caution = models.TextField(blank=True)
    clip = models.ForeignKey(Clip, models.SET_NULL, null=True, blank=True, related_name="+")

    class Meta:
        abstract = True

    @property
    def step_lines(self) -> list[str]:
        """The steps, one a line of the text, without empty lines."""
        return [line.strip() for line in self.steps.splitlines() if line.strip()]

    TEXT_FIELDS = (
        "name",
        "purpose",
        "set_up",
        "steps",
        "feel",
        "works_when",
        "slip",
        "equipment",
        "caution",
        "clip",
    )


class DrillQuerySet(models.QuerySet["Drill"]):
    def visible_to(self, user: User | AnonymousUser) -> DrillQuerySet:
        """A coach's library is the coach's; students see what they were given."""
        return self.filter(coach=user) if isinstance(user, User) else self.none()

    def current(self) -> DrillQuerySet:
        return self.filter(archived_at__isnull=True)

    def archived(self) -> DrillQuerySet:
        return self.filter(archived_at__isnull=False)


class Drill(DrillText, Dose):
    """A reusable exercise in one coach's library."""

    coach = models.ForeignKey(User, models.CASCADE, related_name="drills")
    archived_at = models.DateTimeField(null=True, blank=True)
    created_at = models.DateTimeField(auto_now_add=True)

    objects = DrillQuerySet.as_manager()

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name

    def archive(self) -> None:
        """Leave it out of the list to give from; what was given with it stays."""
        Drill.objects.filter(pk=self.pk).current().update(archived_at=timezone.now())

    def bring_back(self) -> None:
        Drill.objects.filter(pk=self.pk).update(archived_at=None)


class AssignmentQuerySet(models.QuerySet["Assignment"]):
    def visible_to(self, user: User | AnonymousUser) -> AssignmentQuerySet:
        return self.filter(lesson__in=Lesson.objects.visible_to(user))

    def holding(self) -> AssignmentQuerySet:
        return self.filter(removed_at__isnull=True)


class Assignment(DrillText, Dose):
    """A drill given in a lesson, with its dose, until the next visit; words as on that day."""

    # Made by the page on which it is given, so that saving twice gives it once
    key = models.UUIDField(default=uuid.uuid4, editable=False)
    lesson = models.ForeignKey(Lesson, models.CASCADE, related_name="assignments")
    drill = models.ForeignKey(Drill, models.SET_NULL, null=True, related_name="assignments")
    note = models.TextField(blank=True)
    order = models.PositiveSmallIntegerField(default=0)
    created_at = models.DateTimeField(auto_now_add=True)
    removed_at = models.DateTimeField(null=True, blank=True)

    objects = AssignmentQuerySet.as_manager()

    class Meta:
        ordering = ["order", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["lesson", "key"], name="given_once_per_lesson")
        ]

    def __str__(self) -> str:
        return f"{self.name}: {self.dose}"

    @classmethod
    def of(cls, drill: Drill, **values: object) -> Assignment:
        """An assignment, not yet saved, with the drill's words and dose as they stand now."""
        fields = (*cls.TEXT_FIELDS, *cls.DOSE_FIELDS)
        return cls(drill=drill, **{name: getattr(drill, name) for name in fields} | values)


def clips_of_given_drills(user: User) -> Q:
    """Clips of drills that the user was given; registered with lessons.clips."""
    given = Assignment.objects.visible_to(user).filter(clip__isnull=False)
    return Q(pk__in=given.values("clip"))
