"""A series of lessons a student has agreed on, and what it aims at."""

from __future__ import annotations

import datetime

from django.contrib.auth.models import AnonymousUser
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils import timezone

from lessons.students.models import Student
from lessons.visits.models import LessonQuerySet
from portal.accounts.models import User

MOST_LESSONS = 60


class ProgrammeQuerySet(models.QuerySet["Programme"]):
    def visible_to(self, user: User | AnonymousUser) -> ProgrammeQuerySet:
        """The coach, the student, and the guardians of a junior."""
        return self.filter(student__in=Student.objects.visible_to(user))

    def led_by(self, user: User | AnonymousUser) -> ProgrammeQuerySet:
        """What only its coach may change."""
        return self.filter(student__coach=user) if isinstance(user, User) else self.none()

    def running(self) -> ProgrammeQuerySet:
        return self.filter(ended_on__isnull=True)


class Programme(models.Model):
    """So many lessons from a day on. Its lessons are the student's posted ones from that day,
    the first `lessons_planned` of them, none after it was ended."""

    student = models.ForeignKey(Student, models.CASCADE, related_name="programmes")
    title = models.CharField(max_length=120)
    lessons_planned = models.PositiveSmallIntegerField(
        validators=[
            MinValueValidator(1, "Write 1 or more."),
            MaxValueValidator(MOST_LESSONS, "Write %(limit_value)s or less."),
        ]
    )
    begins_on = models.DateField()
    ended_on = models.DateField(null=True, blank=True)
    created_at = models.DateTimeField(auto_now_add=True)

    objects = ProgrammeQuerySet.as_manager()

    class Meta:
        ordering = ["-begins_on", "-pk"]

    def __str__(self) -> str:
        return f"{self.title}, {self.student}"

    def lessons(self) -> LessonQuerySet:
        """Its lessons so far, first to last."""
        found = self.student.lessons.posted().filter(date__gte=self.begins_on)
        if self.ended_on is not None:
            found = found.filter(date__lte=self.ended_on)
        return found.order_by("date", "number")[: self.lessons_planned]

    def end(self, today: datetime.date) -> bool:
        """End it before all its lessons were taken. Only the first call changes anything."""
        running = Programme.objects.running().filter(pk=self.pk)
        return bool(running.update(ended_on=max(today, self.begins_on)))

    def take_up_again(self) -> bool:
        ended = Programme.objects.filter(pk=self.pk, ended_on__isnull=False)
        return bool(ended.update(ended_on=None))


class AimQuerySet(models.QuerySet["Aim"]):
    def visible_to(self, user: User | AnonymousUser) -> AimQuerySet:
        return self.filter(programme__in=Programme.objects.visible_to(user))

    def led_by(self, user: User | AnonymousUser) -> AimQuerySet:
        return self.filter(programme__in=Programme.objects.led_by(user))


class Aim(models.Model):
    """One thing a programme aims at; reached on a day, or not yet."""

    programme = models.ForeignKey(Programme, models.CASCADE, related_name="aims")
    words = models.CharField(max_length=200)
    order = models.PositiveSmallIntegerField(default=0)
    reached_at = models.DateTimeField(null=True, blank=True)

    objects = AimQuerySet.as_manager()

    class Meta:
        ordering = ["order", "pk"]

    def __str__(self) -> str:
        return self.words

    def reach(self) -> bool:
        """Say that it is reached. Only the first call changes anything."""
        now = timezone.now()
        return bool(Aim.objects.filter(pk=self.pk, reached_at=None).update(reached_at=now))

    def reopen(self) -> bool:
        reached = Aim.objects.filter(pk=self.pk, reached_at__isnull=False)
        return bool(reached.update(reached_at=None))
