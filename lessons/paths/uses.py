"""What of paths goes when a clip is removed."""

from __future__ import annotations

from lessons.clips.models import Clip
from lessons.clips.uses import counted


def uses(clip: Clip) -> list[str]:
    """Its paths, those in the recap apart."""
    paths = clip.paths.current()
    in_recap = paths.filter(in_recap=True).count()
    others = paths.filter(in_recap=False).count()
    words = [f"{counted(in_recap, 'a path')} in the recap"] if in_recap else []
    return words + ([counted(others, "a path")] if others else [])
