"""What of pairings goes when a clip is removed."""

from __future__ import annotations

from lessons.clips.models import Clip
from lessons.pairings.models import Pairing


def uses(clip: Clip) -> list[str]:
    """The pairings that show a swing of it."""
    found = Pairing.objects.current().filter(sides__clip=clip).select_related("lesson").distinct()
    return [
        f"its swing in side by side of lesson {pairing.lesson.number} "
        "(pictures and films saved of it stay)"
        for pairing in found.order_by("pk")
    ]
