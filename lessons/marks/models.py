"""What a coach has drawn on a still."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.models import AnonymousUser
from django.db import models
from django.db.models import F
from django.utils import timezone

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

    def replace(self, version: int, marks: list[dict[str, Any]]) -> bool:
        """Keep these marks if the kept ones are still those of `version`. Two at once: one wins."""
        done = MarkSet.objects.filter(pk=self.pk, version=version).update(
            marks=marks, version=F("version") + 1, changed_at=timezone.now()
        )
        self.refresh_from_db()
        return bool(done)
