"""A student's practice: one entry of it, the time there is for it, rest, and reminders."""

from __future__ import annotations

import datetime
import secrets
import uuid

from django.contrib.auth.models import AnonymousUser
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils import timezone

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

    class Felt(models.IntegerChoices):
        STRANGE = 1, "strange"
        HARD = 2, "hard"
        MIXED = 3, "so-so"
        GOOD = 4, "good"
        NATURAL = 5, "natural"

    # Made by the phone, so that sending twice keeps one
    client_id = models.UUIDField(unique=True, default=uuid.uuid4)
    assignment = models.ForeignKey(Assignment, models.CASCADE, related_name="logs")
    by = models.ForeignKey(User, models.SET_NULL, null=True, related_name="+")
    day = models.DateField()
    # 100 is the day's dose done as set
    percent = models.PositiveSmallIntegerField(default=100)
    # Said by the student if it was not as set; reps are those of one set
    sets = models.PositiveSmallIntegerField(null=True, blank=True)
    reps = models.PositiveSmallIntegerField(null=True, blank=True)
    minutes = models.PositiveSmallIntegerField(null=True, blank=True)
    felt = models.PositiveSmallIntegerField(
        choices=Felt, null=True, blank=True, validators=[MinValueValidator(1), MaxValueValidator(5)]
    )
    note = models.TextField(blank=True)
    hurt = models.BooleanField(default=False)
    created_at = models.DateTimeField(auto_now_add=True)
    undone_at = models.DateTimeField(null=True, blank=True)

    objects = LogQuerySet.as_manager()

    class Meta:
        ordering = ["-day", "-pk"]

    def __str__(self) -> str:
        return f"{self.assignment.name} on {self.day}"

    @property
    def is_as_set(self) -> bool:
        """One tap said it all: no amount of its own."""
        return self.sets is None and self.reps is None and self.minutes is None

    @property
    def says_more(self) -> bool:
        """There is more to tell of it than that the student did it as set."""
        by_other = self.by_id is not None and self.by_id != self.student.user_id
        return not self.is_as_set or bool(self.felt or self.note) or self.hurt or by_other

    @property
    def amount(self) -> str:
        """How much in words: 'as set', '2 x 10', '2 x 10 in 12 minutes', '1 set', '8 minutes'."""
        sets = f"{self.sets} set{'' if self.sets == 1 else 's'}" if self.sets else ""
        reps = f"{self.sets or 1} x {self.reps}" if self.reps else sets
        minutes = f"{self.minutes} minute{'' if self.minutes == 1 else 's'}" if self.minutes else ""
        return " in ".join(said for said in (reps, minutes) if said) or "as set"

    def undo(self) -> bool:
        """Take it back; it stays as a row. Only the first call changes anything."""
        now = timezone.now()
        done = Log.objects.filter(pk=self.pk, undone_at__isnull=True).update(undone_at=now)
        if done:
            self.undone_at = now
        return bool(done)

    @property
    def student(self) -> Student:
        return self.assignment.lesson.student


class PracticeTimeQuerySet(models.QuerySet["PracticeTime"]):
    def visible_to(self, user: User | AnonymousUser) -> PracticeTimeQuerySet:
        return self.filter(student__in=Student.objects.visible_to(user))


class PracticeTime(models.Model):
    """How many minutes a student said they have on a day of practice."""

    student = models.OneToOneField(Student, models.CASCADE, related_name="practice_time")
    minutes = models.PositiveSmallIntegerField()

    objects = PracticeTimeQuerySet.as_manager()

    def __str__(self) -> str:
        return f"{self.student}: {self.minutes} minutes"


class RestQuerySet(models.QuerySet["Rest"]):
    def visible_to(self, user: User | AnonymousUser) -> RestQuerySet:
        return self.filter(student__in=Student.objects.visible_to(user))

    def standing(self) -> RestQuerySet:
        """With at least one day: one that was ended on its first day has none."""
        return self.filter(last__gte=models.F("first"))

    def on(self, day: datetime.date) -> RestQuerySet:
        return self.filter(first__lte=day, last__gte=day)


class Rest(models.Model):
    """Days, both ends included, on which a student is hurt or resting: nothing is asked."""

    class Why(models.TextChoices):
        HURT = "hurt", "I am hurt"
        RESTING = "resting", "I am resting"

    student = models.ForeignKey(Student, models.CASCADE, related_name="rests")
    by = models.ForeignKey(User, models.SET_NULL, null=True, related_name="+")
    why = models.CharField(max_length=7, choices=Why)
    first = models.DateField()
    last = models.DateField()
    created_at = models.DateTimeField(auto_now_add=True)

    objects = RestQuerySet.as_manager()

    class Meta:
        ordering = ["-first", "-pk"]

    def __str__(self) -> str:
        return f"{self.student} {self.why} from {self.first} to {self.last}"

    @property
    def is_hurt(self) -> bool:
        return self.why == Rest.Why.HURT

    def end_before(self, day: datetime.date) -> bool:
        """Back on `day`: the day before is the last. False if it had ended by then."""
        before = day - datetime.timedelta(days=1)
        done = Rest.objects.filter(pk=self.pk, last__gte=day).update(last=before)
        if done:
            self.last = before
        return bool(done)


class ReminderQuerySet(models.QuerySet["Reminder"]):
    def visible_to(self, user: User | AnonymousUser) -> ReminderQuerySet:
        """One's own, and nobody else's."""
        return self.filter(user=user) if isinstance(user, User) else self.none()


class Reminder(models.Model):
    """The time of day at which one person wants to hear of a student's practice.

    Read off a clock of that person's own time zone: lessons.practice.clock.
    """

    user = models.ForeignKey(User, models.CASCADE, related_name="practice_reminders")
    student = models.ForeignKey(Student, models.CASCADE, related_name="reminders")
    at = models.TimeField()
    # The newest day on which the time has come, whether or not there was anything to say
    last_on = models.DateField(null=True)

    objects = ReminderQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["user", "student"], name="one_reminder_a_person_and_student"
            )
        ]

    def __str__(self) -> str:
        return f"{self.user} at {self.at:%H:%M}, about {self.student}"

    def take(self, day: datetime.date) -> bool:
        """Take this day's turn. Of two at once one gets it; none once the time was changed."""
        left = Reminder.objects.filter(pk=self.pk, at=self.at)
        left = left.filter(models.Q(last_on=None) | models.Q(last_on__lt=day))
        return bool(left.update(last_on=day))


def new_serial() -> str:
    return secrets.token_hex(8)


class CalendarAddressQuerySet(models.QuerySet["CalendarAddress"]):
    def visible_to(self, user: User | AnonymousUser) -> CalendarAddressQuerySet:
        """One's own, and nobody else's."""
        return self.filter(user=user) if isinstance(user, User) else self.none()


class CalendarAddress(models.Model):
    """That a person's private calendar is open, and the number its address is made of."""

    user = models.OneToOneField(User, models.CASCADE, related_name="calendar_address")
    serial = models.CharField(max_length=16, default=new_serial, editable=False)
    made_at = models.DateTimeField(default=timezone.now)

    objects = CalendarAddressQuerySet.as_manager()

    def __str__(self) -> str:
        return f"calendar of {self.user}"
