"""Nudges a coach sent and the words kept for them, groups, and what is prepared for a visit."""

from __future__ import annotations

import uuid

from django.contrib.auth.models import AnonymousUser
from django.db import models
from django.db.models import F
from django.utils import timezone

from lessons.drills.models import Drill
from lessons.students.models import Student
from lessons.visits.models import Lesson
from portal.accounts.models import User

LONGEST_NUDGE = 2000


class NudgeQuerySet(models.QuerySet["Nudge"]):
    def visible_to(self, user: User | AnonymousUser) -> NudgeQuerySet:
        """The coach sees what was sent to their students; whoever it went to, what they got."""
        if not isinstance(user, User):
            return self.none()
        if user.is_coach:
            return self.filter(student__coach=user)
        return self.filter(student__in=Student.objects.visible_to(user), sent_to=user)


class Nudge(models.Model):
    """A short reminder a coach sent about one student. Kept as it was sent, never changed."""

    # Made by the page, so that sending its form twice sends one
    key = models.UUIDField(default=uuid.uuid4, editable=False)
    student = models.ForeignKey(Student, models.CASCADE, related_name="nudges")
    by = models.ForeignKey(User, models.SET_NULL, null=True, related_name="+")
    sent_to = models.ManyToManyField(User, related_name="+")
    text = models.TextField()
    # Names of drills that were given in the same go, one a line
    drills = models.TextField(blank=True)
    created_at = models.DateTimeField(auto_now_add=True)

    objects = NudgeQuerySet.as_manager()

    class Meta:
        ordering = ["-created_at", "-pk"]
        constraints = [
            models.UniqueConstraint(fields=["student", "key"], name="a_nudge_once_per_student")
        ]

    def __str__(self) -> str:
        return f"nudge to {self.student}"


class NudgeWordsQuerySet(models.QuerySet["NudgeWords"]):
    def visible_to(self, user: User | AnonymousUser) -> NudgeWordsQuerySet:
        return self.filter(coach=user) if isinstance(user, User) else self.none()


class NudgeWords(models.Model):
    """A text a coach keeps to begin a nudge with, in their own words."""

    coach = models.ForeignKey(User, models.CASCADE, related_name="nudge_words")
    name = models.CharField(max_length=60)
    text = models.TextField(max_length=LONGEST_NUDGE)

    objects = NudgeWordsQuerySet.as_manager()

    class Meta:
        ordering = ["name", "pk"]

    def __str__(self) -> str:
        return self.name


class StudentGroupQuerySet(models.QuerySet["StudentGroup"]):
    def visible_to(self, user: User | AnonymousUser) -> StudentGroupQuerySet:
        return self.filter(coach=user) if isinstance(user, User) else self.none()


class StudentGroup(models.Model):
    """Students, and drills if any, that a coach chose together, under a name to choose them by.

    Only a way to begin: what was given to the students stays theirs, whatever becomes of it.
    """

    coach = models.ForeignKey(User, models.CASCADE, related_name="student_groups")
    name = models.CharField(max_length=60)
    students = models.ManyToManyField(Student, related_name="+")
    drills = models.ManyToManyField(Drill, related_name="+", blank=True)

    objects = StudentGroupQuerySet.as_manager()

    class Meta:
        ordering = ["name", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["coach", "name"],
                name="one_group_a_name",
                violation_error_message="You have a group of that name. Choose another one.",
            )
        ]

    def __str__(self) -> str:
        return self.name


class PreparationQuerySet(models.QuerySet["Preparation"]):
    def visible_to(self, user: User | AnonymousUser) -> PreparationQuerySet:
        """Private: the coach's alone, whoever may read the lesson."""
        return self.filter(lesson__in=Lesson.objects.led_by(user))


class Preparation(models.Model):
    """What a coach wrote down for themself for the visit after a lesson."""

    lesson = models.OneToOneField(Lesson, models.CASCADE, related_name="preparation")
    text = models.TextField(blank=True)
    # Counts the savings: a page that has not seen the latest one writes over nothing
    version = models.PositiveIntegerField(default=0)
    changed_at = models.DateTimeField(auto_now=True)

    objects = PreparationQuerySet.as_manager()

    def __str__(self) -> str:
        return f"preparation after {self.lesson}"

    def replace(self, version: int, text: str) -> bool:
        """Keep this text if the kept one is still that of `version`. Two at once: one wins."""
        done = Preparation.objects.filter(pk=self.pk, version=version).update(
            text=text, version=F("version") + 1, changed_at=timezone.now()
        )
        self.refresh_from_db()
        return bool(done)
