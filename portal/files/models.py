"""An upload on its way in, piece by piece."""

from __future__ import annotations

import uuid

from django.conf import settings
from django.contrib.auth.models import AbstractBaseUser, AnonymousUser
from django.db import models
from django.utils import timezone


class UploadQuerySet(models.QuerySet["Upload"]):
    def visible_to(self, user: AbstractBaseUser | AnonymousUser) -> UploadQuerySet:
        """Uploads are their owner's alone."""
        return self.filter(owner_id=user.pk) if user.is_authenticated else self.none()

    def abandoned(self) -> UploadQuerySet:
        """Never completed, and past their time."""
        return self.filter(finished_at__isnull=True, expires_at__lt=timezone.now())

    def taken_over(self) -> UploadQuerySet:
        """Completed, past their time, and with no piece that somebody may still need."""
        past = self.filter(finished_at__isnull=False, expires_at__lt=timezone.now())
        return past.filter(pieces__isnull=True)


class Upload(models.Model):
    """One resumable upload (tus 1.0.0). Its pieces lie in the private storage until taken over."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    owner = models.ForeignKey(settings.AUTH_USER_MODEL, models.CASCADE, related_name="uploads")
    kind = models.CharField(max_length=40)
    metadata = models.JSONField(default=dict)
    length = models.PositiveBigIntegerField()
    offset = models.PositiveBigIntegerField(default=0)
    created_at = models.DateTimeField(auto_now_add=True)
    expires_at = models.DateTimeField()
    finished_at = models.DateTimeField(null=True)
    # Address of what was made of it
    result = models.CharField(max_length=200, blank=True)

    objects = UploadQuerySet.as_manager()

    def __str__(self) -> str:
        return f"upload {self.id} ({self.offset} of {self.length})"

    @property
    def expired(self) -> bool:
        """Whether its time is over before it was completed."""
        return self.finished_at is None and self.expires_at < timezone.now()

    @property
    def folder(self) -> str:
        """Where its pieces lie in the private storage; as hard to guess as its id."""
        return f"uploads/{self.id.hex}"


class Piece(models.Model):
    """A received run of bytes of an upload."""

    upload = models.ForeignKey(Upload, models.CASCADE, related_name="pieces")
    offset = models.PositiveBigIntegerField()
    size = models.PositiveBigIntegerField()
    file = models.FileField(max_length=200)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["upload", "offset"], name="one_piece_per_offset")
        ]
        ordering = ["offset"]

    def __str__(self) -> str:
        return f"{self.size} bytes at {self.offset} of {self.upload_id}"
