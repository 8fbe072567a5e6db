"""A student of a coach, the guardians of one under 18, and what they consented to."""

from __future__ import annotations

import datetime
from decimal import Decimal

from django.conf import settings
from django.contrib.auth.models import AnonymousUser
from django.db import models
from django.db.models import Q
from django.utils import timezone

from portal.accounts.models import User

ADULT_YEARS = 18


def adults_born_until(today: datetime.date) -> datetime.date:
    """The latest birth date of somebody who is 18 today; on 29 February that is the 28th."""
    try:
        return today.replace(year=today.year - ADULT_YEARS)
    except ValueError:
        return today.replace(year=today.year - ADULT_YEARS, day=28)


def handicap_words(handicap: Decimal | None) -> str:
    """As the trade writes it: 17, 4.2, and +2 for a plus handicap, which is stored below zero."""
    if handicap is None:
        return ""
    shown = f"{abs(handicap).normalize():f}"
    return f"+{shown}" if handicap < 0 else shown


class StudentQuerySet(models.QuerySet["Student"]):
    def visible_to(self, user: User | AnonymousUser) -> StudentQuerySet:
        """A coach sees their own students, a student themself, a guardian wards under 18."""
        if not isinstance(user, User):
            return self.none()
        if user.is_coach:
            return self.filter(coach=user)
        if user.role == User.Role.STUDENT:
            return self.filter(user=user)
        wards = Guardian.objects.filter(user=user).values("student")
        return self.juniors().filter(pk__in=wards)

    def juniors(self) -> StudentQuerySet:
        return self.filter(born__gt=adults_born_until(timezone.localdate()))

    def current(self) -> StudentQuerySet:
        return self.filter(archived_at__isnull=True)

    def archived(self) -> StudentQuerySet:
        return self.filter(archived_at__isnull=False)


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
    # Strokes; below zero is a plus handicap
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
    def age(self) -> int | None:
        return self.age_on(timezone.localdate())

    @property
    def is_junior(self) -> bool:
        return self.age is not None and self.age < ADULT_YEARS

    @property
    def may_be_filmed(self) -> bool:
        """Adults may; a junior may once a guardian's consent is on record and not withdrawn."""
        return not self.is_junior or self.guardians.consenting().exists()

    @property
    def address(self) -> str:
        """Where letters go: the address they sign in with, else the one the coach wrote down."""
        return self.user.email if self.user else self.email

    @property
    def handicap_words(self) -> str:
        return handicap_words(self.handicap)

    @property
    def subject(self) -> str:
        """What an invitation calls this student."""
        return f"student:{self.pk}"

    def archive(self) -> bool:
        """Put the student aside; nothing is deleted. Only the first call changes anything."""
        now = timezone.now()
        return bool(
            Student.objects.filter(pk=self.pk, archived_at__isnull=True).update(archived_at=now)
        )

    def bring_back(self) -> bool:
        archived = Student.objects.filter(pk=self.pk, archived_at__isnull=False)
        return bool(archived.update(archived_at=None))


class GuardianQuerySet(models.QuerySet["Guardian"]):
    def visible_to(self, user: User | AnonymousUser) -> GuardianQuerySet:
        if not isinstance(user, User):
            return self.none()
        return self.filter(Q(student__coach=user) | Q(user=user))

    def consenting(self) -> GuardianQuerySet:
        return self.filter(consented_at__isnull=False, withdrawn_at__isnull=True)


class Guardian(models.Model):
    """A parent or guardian of one student; holds the consent to film and keep clips.

    The consent as it stands now is kept here, all that ever happened to it in `Consent`.
    """

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

    @property
    def consents(self) -> bool:
        return self.consented_at is not None and self.withdrawn_at is None

    @property
    def address(self) -> str:
        return self.user.email if self.user else self.email

    @property
    def subject(self) -> str:
        """What an invitation calls this guardian."""
        return f"guardian:{self.pk}"


class Consent(models.Model):
    """One thing that happened to a consent: who, when, what text. Never changed afterwards."""

    class What(models.TextChoices):
        GIVEN = "given"
        ON_PAPER = "on paper", "given on paper"
        WITHDRAWN = "withdrawn"

    guardian = models.ForeignKey(Guardian, models.PROTECT, related_name="history")
    what = models.CharField(max_length=10, choices=What)
    at = models.DateTimeField(auto_now_add=True)
    # The day on the paper, or the day of the row
    day = models.DateField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, related_name="+")
    by_name = models.CharField(max_length=120)
    text = models.TextField(blank=True)
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["-at", "-pk"]

    def __str__(self) -> str:
        return f"{self.guardian}: {self.what}"
