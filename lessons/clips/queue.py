"""How long a clip that waits or is being prepared has still to go."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

from django.db.models import Q
from django.utils import timezone

from lessons.clips.models import Clip, Cut, SwingSearch

# Before that, what has been done says little about what is left
LEAST_S, LEAST_PERMILLE = 3.0, 30


@dataclass(frozen=True)
class Wait:
    """What is known of it: how many clips come before, or about how many seconds are left."""

    before: int = 0
    left_s: float | None = None


def wait_of(clip: Clip) -> Wait:
    """The place of a waiting clip, or the time left for one that is being prepared."""
    if clip.state == Clip.State.RECEIVED:
        return Wait(before=clips_before(clip))
    return Wait(left_s=left_s(clip.began_at, clip.progress_permille))


def clips_before(clip: Clip) -> int:
    """Clips with work that came to the workers before this one's."""
    in_flight = Q(state__in=[Clip.State.RECEIVED, Clip.State.PREPARING], pk__lt=clip.pk)
    cuts = Cut.objects.in_flight().filter(clip__lt=clip.pk).values("clip")
    searches = SwingSearch.objects.in_flight().filter(clip__lt=clip.pk).values("clip")
    return Clip.objects.filter(in_flight | Q(pk__in=cuts) | Q(pk__in=searches)).count()


def left_s(
    began_at: datetime.datetime | None, permille: int, now: datetime.datetime | None = None
) -> float | None:
    """Seconds left if it goes on as fast as so far; None while that is not known."""
    if began_at is None or permille < LEAST_PERMILLE:
        return None
    spent = ((now or timezone.now()) - began_at).total_seconds()
    return spent * (1000 - permille) / permille if spent >= LEAST_S else None
