"""One practice entry of a student."""

from __future__ import annotations

import uuid

from django.contrib.auth.models import AnonymousUser
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from lessons.drills.models import Assignment
from lessons.students.models import Student
from portal.accounts.models import User


class LogQuerySet(models.QuerySet["Log"]):
    def visible_to(self, user: User | AnonymousUser) -> LogQuerySet:
        return self.filter(assignment__in=Assignment.objects.visible_to(user))

    def standing(self) -> LogQuerySet:
        """Not undone."""
        return self.filter(undone_at__isnull=True)


class Log(models.Model):
    """Practice of one assignment on one day: how much, how it felt, a note."""

    # Made by the phone, so that sending twice keeps one
    client_id = models.UUIDField(unique=True, default=uuid.uuid4)
    assignment = models.ForeignKey(Assignment, models.CASCADE, related_name="logs")
    by = models.ForeignKey(User, models.SET_NULL, null=True, related_name="+")
    day = models.DateField()
    # 100 is the day's dose done as set
    percent = models.PositiveSmallIntegerField(default=100)
    reps = models.PositiveSmallIntegerField(null=True, blank=True)
    minutes = models.PositiveSmallIntegerField(null=True, blank=True)
    felt = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MinValueValidator(1), MaxValueValidator(5)]
    )
    note = models.TextField(blank=True)
    created_at = models.DateTimeField(auto_now_add=True)
    undone_at = models.DateTimeField(null=True, blank=True)

    objects = LogQuerySet.as_manager()

    class Meta:
        ordering = ["-day", "-pk"]

    def __str__(self) -> str:
        return f"{self.assignment.name} on {self.day}"

    @property
    def student(self) -> Student:
        return self.assignment.lesson.student
