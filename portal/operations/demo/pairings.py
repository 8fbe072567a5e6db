"""The demo's swings side by side: before and after, position by position."""

from __future__ import annotations

from collections.abc import Mapping

from lessons.clips.models import Clip
from lessons.pairings import tasks
from lessons.pairings.models import SavedPairing
from lessons.pairings.offering import Offer
from lessons.pairings.service import begin_pairing, clocks_of, save_film, save_picture
from lessons.pairings.sides import sides_of

BESIDE = ("tobias first", "tobias end")
SPEED, PAUSES, HOLD_S = 0.25, ("P1", "P4", "P7"), 1.5


def lay_side_by_side(clips: Mapping[str, Clip]) -> None:
    """Lay the swings of two clips side by side; a picture and a film of them into the recap."""
    offers = [Offer(clips[name], clips[name].swings.current().first()) for name in BESIDE]
    pairing = begin_pairing(offers[-1].clip.lesson, offers)
    pairing.by_position = True
    pairing.save(update_fields=["by_position"])
    top_us = clocks_of(pairing, sides_of(pairing))["P4"]
    picture = save_picture(pairing, top_us)
    picture.caption = "The same top; the head stays over the ball now."
    picture.save(update_fields=["caption"])
    tasks.save(picture.pk)
    film = save_film(pairing, SPEED, PAUSES, HOLD_S)
    film.caption = "Both at the same moment of the swing. Watch the trail hip."
    film.save(update_fields=["caption"])
    tasks.film(film.pk)
    for row in SavedPairing.objects.filter(pairing=pairing):
        if not row.is_ready:
            raise RuntimeError(f"no {row.kind} of {pairing}: {row.reason}")
