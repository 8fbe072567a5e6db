"""What a coach has drawn on a still."""

from __future__ import annotations

from django.contrib.auth.models import AnonymousUser
from django.db import models

from lessons.clips.models import Still
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
