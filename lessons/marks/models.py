"""What a coach has drawn on a still."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.models import AnonymousUser
from django.db import models
from django.db.models import F
from django.utils import timezone

from lessons.clips.models import Still
from lessons.marks.sight import ERROR_PX
from lessons.visits.models import Lesson
from portal.accounts.models import User


class MarkSetQuerySet(models.QuerySet["MarkSet"]):
    def visible_to(self, user: User | AnonymousUser) -> MarkSetQuerySet:
        return self.filter(still__in=Still.objects.visible_to(user))


class MarkSet(models.Model):
    """The marks of one still, as vectors in the still's pixels; `version` counts the savings."""

    still = models.OneToOneField(Still, models.CASCADE, related_name="mark_set")
    marks = models.JSONField(default=list)
    version = models.PositiveIntegerField(default=0)
    changed_at = models.DateTimeField(auto_now=True)

    objects = MarkSetQuerySet.as_manager()

    def __str__(self) -> str:
        return f"marks on {self.still}"

    def replace(self, version: int, marks: list[dict[str, Any]]) -> bool:
        """Keep these marks if the kept ones are still those of `version`. Two at once: one wins."""
        done = MarkSet.objects.filter(pk=self.pk, version=version).update(
            marks=marks, version=F("version") + 1, changed_at=timezone.now()
        )
        self.refresh_from_db()
        return bool(done)


class MarkingErrorQuerySet(models.QuerySet["MarkingError"]):
    def visible_to(self, user: User | AnonymousUser) -> MarkingErrorQuerySet:
        return self.filter(coach=user) if isinstance(user, User) else self.none()


class MarkingError(models.Model):
    """How far off a coach's marks may be: the plus-or-minus of a coordinate, see sight.Sight."""

    coach = models.OneToOneField(User, models.CASCADE, related_name="marking_error")
    error_px = models.DecimalField(max_digits=4, decimal_places=1, default=ERROR_PX)

    objects = MarkingErrorQuerySet.as_manager()

    def __str__(self) -> str:
        return f"{self.error_px} px"


class NamedSetQuerySet(models.QuerySet["NamedSet"]):
    def visible_to(self, user: User | AnonymousUser) -> NamedSetQuerySet:
        """A coach's own, without the removed ones."""
        return self.led_by(user).filter(removed_at__isnull=True)

    def led_by(self, user: User | AnonymousUser) -> NamedSetQuerySet:
        """The removed ones too, to bring them back."""
        return self.filter(coach=user) if isinstance(user, User) else self.none()


class NamedSet(models.Model):
    """Marks that a coach kept under a name, to lay them over other stills."""

    coach = models.ForeignKey(User, models.CASCADE, related_name="named_sets")
    name = models.CharField(max_length=60)
    marks = models.JSONField()
    # Of the still they were drawn on, in pixels
    width_px = models.PositiveSmallIntegerField()
    height_px = models.PositiveSmallIntegerField()
    created_at = models.DateTimeField(auto_now_add=True)
    removed_at = models.DateTimeField(null=True)

    objects = NamedSetQuerySet.as_manager()

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(
                fields=["coach", "name"],
                condition=models.Q(removed_at__isnull=True),
                name="one_set_of_a_name",
            )
        ]

    def __str__(self) -> str:
        return self.name

    def remove(self) -> bool:
        """Take it off the list; it can be brought back."""
        found = NamedSet.objects.filter(pk=self.pk, removed_at__isnull=True)
        return bool(found.update(removed_at=timezone.now()))

    def bring_back(self) -> bool:
        """Undo `remove`, unless another set has the name by now."""
        taken = NamedSet.objects.filter(
            coach_id=self.coach_id, name=self.name, removed_at__isnull=True
        )
        if taken.exists():
            return False
        found = NamedSet.objects.filter(pk=self.pk, removed_at__isnull=False)
        return bool(found.update(removed_at=None))


class MeasureTableQuerySet(models.QuerySet["MeasureTable"]):
    def visible_to(self, user: User | AnonymousUser) -> MeasureTableQuerySet:
        return self.filter(lesson__in=Lesson.objects.visible_to(user))


class MeasureTable(models.Model):
    """Which stills of a lesson are compared, and whether its student reads the table."""

    lesson = models.OneToOneField(Lesson, models.CASCADE, related_name="measure_table")
    stills = models.ManyToManyField(Still, related_name="+")
    in_recap = models.BooleanField(default=False)

    objects = MeasureTableQuerySet.as_manager()

    def __str__(self) -> str:
        return f"measures of {self.lesson}"
