"""An upload on its way in, piece by piece."""

from __future__ import annotations

import uuid

from django.conf import settings
from django.db import models


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

    def __str__(self) -> str:
        return f"upload {self.id} ({self.offset} of {self.length})"


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
