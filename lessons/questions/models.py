"""A thread between a student and their coach, its messages, and who has read how far."""

from __future__ import annotations

import uuid

from django.contrib.auth.models import AnonymousUser
from django.db import models
from django.db.models import Count, Exists, OuterRef, Q, Subquery
from django.db.models.functions import Coalesce
from django.urls import reverse

from lessons.clips.models import Clip, Still
from lessons.drills.models import Assignment
from lessons.students.models import Student
from lessons.visits.models import Lesson
from portal.accounts.models import User


class ThreadQuerySet(models.QuerySet["Thread"]):
    def visible_to(self, user: User | AnonymousUser) -> ThreadQuerySet:
        """The coach, the student, and the guardians of a junior."""
        return self.filter(student__in=Student.objects.visible_to(user))

    def of_lesson(self, lesson: Lesson) -> ThreadQuerySet:
        return self.filter(lesson=lesson)

    def with_unread(self, user: User) -> ThreadQuerySet:
        """Each thread with `unread`: how many of its messages are new to the person."""
        new = Message.objects.unread_by(user).filter(thread=OuterRef("pk")).order_by()
        count = new.values("thread").annotate(count=Count("pk")).values("count")
        return self.annotate(unread=Coalesce(Subquery(count), 0))

    def for_list(self, user: User) -> ThreadQuerySet:
        """All that a row of a list shows; unread ones first, then the newest."""
        last = Message.objects.filter(thread=OuterRef("pk")).order_by("-pk")
        return (
            self.with_unread(user)
            .annotate(last_text=Subquery(last.values("text")[:1]))
            .annotate(last_by=Subquery(last.values("by_name")[:1]))
            .annotate(is_new=Q(unread__gt=0))
            .select_related("student", "lesson", "still", "given")
            .order_by("-is_new", "-last_at", "-pk")
        )


class Thread(models.Model):
    """What is asked and answered: about a lesson's recap, a still, a given drill, or a clip."""

    class About(models.TextChoices):
        RECAP = "recap"
        STILL = "still"
        DRILL = "drill"
        CHECK_IN = "check-in"

    student = models.ForeignKey(Student, models.CASCADE, related_name="threads")
    about = models.CharField(max_length=8, choices=About)
    # The lesson whose page shows it; what is said before any posted lesson has none
    lesson = models.ForeignKey(Lesson, models.SET_NULL, null=True, related_name="threads")
    still = models.ForeignKey(Still, models.SET_NULL, null=True, related_name="threads")
    given = models.ForeignKey(Assignment, models.SET_NULL, null=True, related_name="threads")
    created_at = models.DateTimeField(auto_now_add=True)
    last_at = models.DateTimeField(auto_now_add=True)

    objects = ThreadQuerySet.as_manager()

    class Meta:
        ordering = ["-last_at", "-pk"]
        indexes = [models.Index(fields=["student", "-last_at"])]

    def __str__(self) -> str:
        return f"thread {self.pk} of {self.student}"

    def get_absolute_url(self) -> str:
        return reverse("questions:thread", args=[self.pk])

    @property
    def is_check_in(self) -> bool:
        return self.about == Thread.About.CHECK_IN

    @property
    def title(self) -> str:
        """What it is about, in words."""
        if self.is_check_in:
            return "Check-in clip"
        if self.still:
            return self.still.title
        if self.given:
            return self.given.name
        return "The lesson" if self.lesson_id else "A word"

    @property
    def subject_url(self) -> str:
        """The page of what it is about; empty for a check-in, and for what was taken away."""
        if self.is_check_in:
            return ""
        if self.still and not self.still.removed_at:
            return reverse("marks:still", args=[self.still_id])
        if self.given and not self.given.removed_at:
            return reverse("drills:given", args=[self.given_id])
        return reverse("recaps:read", args=[self.lesson_id]) if self.lesson_id else ""


class MessageQuerySet(models.QuerySet["Message"]):
    def visible_to(self, user: User | AnonymousUser) -> MessageQuerySet:
        return self.filter(thread__in=Thread.objects.visible_to(user))

    def unread_by(self, user: User) -> MessageQuerySet:
        """Written by somebody else, and below where the person has read to."""
        read = Reading.objects.filter(
            thread=OuterRef("thread"), user=user, up_to__gte=OuterRef("pk")
        )
        return self.exclude(by=user).exclude(Exists(read))


class Message(models.Model):
    """One thing said: words, a check-in clip, a still sent back, or several of these."""

    thread = models.ForeignKey(Thread, models.CASCADE, related_name="messages")
    # Made by the page, so that sending twice keeps one
    client_id = models.UUIDField(unique=True, default=uuid.uuid4)
    by = models.ForeignKey(User, models.SET_NULL, null=True, related_name="+")
    by_name = models.CharField(max_length=120)
    text = models.TextField(blank=True)
    clip = models.OneToOneField(Clip, models.SET_NULL, null=True, related_name="check_in")
    still = models.ForeignKey(Still, models.SET_NULL, null=True, related_name="+")
    created_at = models.DateTimeField(auto_now_add=True)

    objects = MessageQuerySet.as_manager()

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"message {self.pk} in {self.thread}"


class ReadingQuerySet(models.QuerySet["Reading"]):
    def visible_to(self, user: User | AnonymousUser) -> ReadingQuerySet:
        """How far one has read is one's own."""
        return self.filter(user=user) if isinstance(user, User) else self.none()


class Reading(models.Model):
    """How far one person has read one thread: the key of the last message they saw."""

    thread = models.ForeignKey(Thread, models.CASCADE, related_name="readings")
    user = models.ForeignKey(User, models.CASCADE, related_name="+")
    up_to = models.PositiveBigIntegerField(default=0)

    objects = ReadingQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["thread", "user"], name="one_reading_per_person")
        ]

    def __str__(self) -> str:
        return f"{self.user} read {self.thread} up to {self.up_to}"

    def move_to(self, up_to: int) -> None:
        """Read on; never back, whichever of two open pages answers last."""
        Reading.objects.filter(pk=self.pk, up_to__lt=up_to).update(up_to=up_to)


def clips_of_threads(user: User) -> Q:
    """Check-in clips in threads that the user sees; registered with lessons.clips."""
    seen = Message.objects.visible_to(user).filter(clip__isnull=False)
    return Q(pk__in=seen.values("clip"))


def clips_of_student(student: Student) -> Q:
    """A student's check-in clips, for their coach to choose; registered with lessons.pairings."""
    return Q(check_in__thread__student=student)
