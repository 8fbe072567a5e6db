"""What a coach has set about the positions of a swing, and what was there before."""

from __future__ import annotations

from django.db import models

from lessons.clips.models.still import Position
from lessons.clips.models.swing import Swing


class PlacedPosition(models.Model):
    """A position of a swing that the coach confirmed or dragged; the others are guesses."""

    swing = models.ForeignKey(Swing, models.CASCADE, related_name="placed")
    position = models.CharField(max_length=3, choices=Position)
    # The clip's clock: the own time of a frame
    time_us = models.PositiveBigIntegerField()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["swing", "position"], name="a_position_is_placed_once_a_swing"
            )
        ]

    def __str__(self) -> str:
        return f"{self.position} of {self.swing} at {self.time_us} us"


class SwingChange(models.Model):
    """What a coach did to a swing, with all that is needed to take it back."""

    swing = models.ForeignKey(Swing, models.CASCADE, related_name="changes")
    words = models.CharField(max_length=80)
    # See lessons.clips.history
    before = models.JSONField()
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.words} ({self.swing})"
