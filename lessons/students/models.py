"""A student of a coach, and the guardians of one under 18."""

from __future__ import annotations

import datetime

from django.conf import settings
from django.contrib.auth.models import AnonymousUser
from django.db import models
from django.db.models import Q
from django.utils import timezone

from portal.accounts.models import User

ADULT_YEARS = 18


class StudentQuerySet(models.QuerySet["Student"]):
    def visible_to(self, user: User | AnonymousUser) -> StudentQuerySet:
        """A coach sees their own students, a student themself, a guardian their children."""
        if not isinstance(user, User):
            return self.none()
        return {
            User.Role.COACH: self.filter(coach=user),
            User.Role.STUDENT: self.filter(user=user),
            User.Role.GUARDIAN: self.filter(guardians__user=user),
        }[User.Role(user.role)]

    def current(self) -> StudentQuerySet:
        return self.filter(archived_at__isnull=True)


class Student(models.Model):
    """Somebody who takes lessons from one coach; `user` is set once they have signed in."""

    class Handed(models.TextChoices):
        RIGHT = "right", "right-handed"
        LEFT = "left", "left-handed"

    coach = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="students")
    user = models.OneToOneField(
        settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="student"
    )
    name = models.CharField(max_length=120)
    email = models.EmailField(blank=True)
    born = models.DateField(null=True, blank=True)
    handed = models.CharField(max_length=5, choices=Handed, default=Handed.RIGHT)
    handicap = models.DecimalField(max_digits=3, decimal_places=1, null=True, blank=True)
    aims = models.TextField(blank=True)
    cautions = models.TextField(blank=True)
    archived_at = models.DateTimeField(null=True, blank=True)
    created_at = models.DateTimeField(auto_now_add=True)

    objects = StudentQuerySet.as_manager()

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name

    def age_on(self, day: datetime.date) -> int | None:
        """Full years on a day; None if the birth date is not known."""
        if self.born is None:
            return None
        before_birthday = (day.month, day.day) < (self.born.month, self.born.day)
        return day.year - self.born.year - before_birthday

    @property
    def is_junior(self) -> bool:
        age = self.age_on(timezone.localdate())
        return age is not None and age < ADULT_YEARS

    @property
    def may_be_filmed(self) -> bool:
        """Adults may; a junior may once a guardian's consent is on record and not withdrawn."""
        return not self.is_junior or self.guardians.consenting().exists()


class GuardianQuerySet(models.QuerySet["Guardian"]):
    def visible_to(self, user: User | AnonymousUser) -> GuardianQuerySet:
        if not isinstance(user, User):
            return self.none()
        return self.filter(Q(student__coach=user) | Q(user=user))

    def consenting(self) -> GuardianQuerySet:
        return self.filter(consented_at__isnull=False, withdrawn_at__isnull=True)


class Guardian(models.Model):
    """A parent or guardian of one student; holds the consent to film and keep clips."""

    student = models.ForeignKey(Student, models.CASCADE, related_name="guardians")
    user = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="wards"
    )
    name = models.CharField(max_length=120)
    email = models.EmailField()
    consented_at = models.DateTimeField(null=True, blank=True)
    consent_text = models.TextField(blank=True)
    consent_given_by = models.CharField(max_length=200, blank=True)
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    objects = GuardianQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["student", "email"], name="one_guardian_per_address")
        ]

    def __str__(self) -> str:
        return f"{self.name}, guardian of {self.student}"
