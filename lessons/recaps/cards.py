"""The stills of a recap as cards to swipe: one still, or a before and after of one position."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from lessons.recaps.models import RecapStill
from lessons.visits.models import Part


@dataclass(frozen=True)
class Card:
    """One still; with `after` it is the 'before' under a divider that is dragged."""

    shown: RecapStill
    after: RecapStill | None = None


def cards(stills: Iterable[RecapStill]) -> list[Card]:
    """One card a still, in order; 'start' and 'end' of one position and view share a card.

    The shared card stands where the first of the two stood. Of several at one position the first
    of each part are taken; a still without a position stands alone.
    """
    stills = list(stills)
    befores: dict[tuple[str, str], RecapStill] = {}
    afters: dict[tuple[str, str], RecapStill] = {}
    for shown in stills:
        still, clip = shown.still, shown.still.clip
        side = {Part.START: befores, Part.END: afters}.get(Part(clip.part))
        if side is not None and still.position:
            side.setdefault((still.position, clip.view), shown)
    made: list[Card] = []
    placed: set[int] = set()
    for shown in stills:
        if shown.pk in placed:
            continue
        place = (shown.still.position, shown.still.clip.view)
        before, after = befores.get(place), afters.get(place)
        if before is not None and after is not None and shown in (before, after):
            made.append(Card(before, after))
            placed |= {before.pk, after.pk}
        else:
            made.append(Card(shown))
    return made
