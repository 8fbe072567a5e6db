"""What a clip is used for, also in rooms that this one knows nothing of."""

from __future__ import annotations

from collections.abc import Callable

from lessons.clips.models import Clip

# Each says in words what goes from a page with the clip: '2 stills of the posted recap of lesson 3'
USED_BY: list[Callable[[Clip], list[str]]] = []


def uses_of(clip: Clip) -> list[str]:
    """All that goes with a clip, in words; empty where nobody would miss anything."""
    return [words for used in USED_BY for words in used(clip)]


def counted(count: int, one: str, several: str = "") -> str:
    """'a path', '2 paths'; `one` comes with its article."""
    return one if count == 1 else f"{count} {several or one.partition(' ')[2] + 's'}"
