"""Clips, their stills, the swings in them, and the cuts that are stepped through."""

from __future__ import annotations

from lessons.clips.models.clip import ALSO_VISIBLE, Clip
from lessons.clips.models.cut import Cut
from lessons.clips.models.position import PlacedPosition, SwingChange
from lessons.clips.models.still import Position, Still, StillQuerySet
from lessons.clips.models.swing import Swing, SwingSearch

__all__ = [
    "ALSO_VISIBLE",
    "Clip",
    "Cut",
    "PlacedPosition",
    "Position",
    "Still",
    "StillQuerySet",
    "Swing",
    "SwingChange",
    "SwingSearch",
]
