"""A lesson: one visit of a student."""

from __future__ import annotations

import datetime

from django.contrib.auth.models import AnonymousUser
from django.db import models
from django.utils import timezone

from lessons.students.models import Student
from portal.accounts.models import User


class Part(models.TextChoices):
    """Where in the lesson a clip or a shot belongs."""

    START = "start"
    MIDDLE = "middle"
    END = "end"


class LessonQuerySet(models.QuerySet["Lesson"]):
    def visible_to(self, user: User | AnonymousUser) -> LessonQuerySet:
        """The coach sees all lessons of their students; a student and guardian the posted ones."""
        mine = self.filter(student__in=Student.objects.visible_to(user))
        if isinstance(user, User) and user.is_coach:
            return mine
        return mine.posted()

    def led_by(self, user: User | AnonymousUser) -> LessonQuerySet:
        """What the coach's own pages load: nobody else finds anything here."""
        return self.filter(student__coach=user) if isinstance(user, User) else self.none()

    def posted(self) -> LessonQuerySet:
        return self.filter(posted_at__isnull=False)


class Lesson(models.Model):
    """One visit: its date, theme, and until when its drills hold; numbered per student."""

    student = models.ForeignKey(Student, models.CASCADE, related_name="lessons")
    number = models.PositiveSmallIntegerField()
    date = models.DateField()
    theme = models.CharField(max_length=120, blank=True)
    next_visit = models.DateField(null=True, blank=True)
    posted_at = models.DateTimeField(null=True, blank=True)
    created_at = models.DateTimeField(auto_now_add=True)

    objects = LessonQuerySet.as_manager()

    class Meta:
        ordering = ["-date", "-number"]
        constraints = [
            models.UniqueConstraint(fields=["student", "number"], name="one_number_per_student")
        ]

    def __str__(self) -> str:
        return f"lesson {self.number} of {self.student}"

    @property
    def is_posted(self) -> bool:
        return self.posted_at is not None

    def days_left(self, today: datetime.date) -> int | None:
        """Days until the next visit, 0 on the day and after; None without one."""
        return None if self.next_visit is None else max(0, (self.next_visit - today).days)

    def mark_posted(self) -> bool:
        """Show the lesson to the student. Only the first call changes anything."""
        now = timezone.now()
        done = Lesson.objects.filter(pk=self.pk, posted_at__isnull=True).update(posted_at=now)
        if done:
            self.posted_at = now
        return bool(done)
