"""A letter that waits, is being sent, was sent, or could not be."""

from __future__ import annotations

from django.db import models

from portal.work.models import WorkRow


class Letter(WorkRow):
    """One e-mail to one person. Kept after sending, so that what was said can be looked up."""

    class State(models.TextChoices):
        WAITING = "waiting"
        SENDING = "sending"
        SENT = "sent"
        FAILED = "failed"

    WAITING, RUNNING = State.WAITING, State.SENDING
    DONE, FAILED = State.SENT, State.FAILED

    state = models.CharField(max_length=10, choices=State, default=State.WAITING)
    reason = models.TextField(blank=True)
    kind = models.CharField(max_length=40)
    to = models.EmailField()
    subject = models.CharField(max_length=200)
    text = models.TextField()
    # More header lines, by name
    headers = models.JSONField(default=dict)
    created_at = models.DateTimeField(auto_now_add=True)
    settled_at = models.DateTimeField(null=True)

    def __str__(self) -> str:
        return f"{self.subject} to {self.to} ({self.state})"
