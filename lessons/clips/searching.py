"""Looking for the swings in a clip that can be watched."""

from __future__ import annotations

from django.db import transaction

from lessons.clips import swings as service
from lessons.clips import working
from lessons.clips.models import SwingSearch
from lessons.clips.working import LeaseLost
from media_tools import motion, sound, swings
from media_tools.source import look
from portal.files import local
from portal.work.lease import Lease

GIVEN_UP = "The swings of this clip could not be looked for. Look again in a while."
LOST = "A file of this clip is not in the store any more, so its swings can't be looked for."


def find_swings(lease: Lease) -> None:
    """Find the swings of the lease's clip, put them in place, settle the search."""
    search = SwingSearch.objects.select_related("clip").get(pk=lease.pk)
    if working.is_spent(search, lease, GIVEN_UP):
        return
    clip = search.clip
    with working.outcomes(search, lease, given_up=GIVEN_UP, lost=LOST):
        with local.local_copy(clip.motion) as picture:
            moved = motion.read(picture)
        heard = None
        if clip.has_sound:
            with local.local_copy(clip.original) as original:
                heard = sound.read(original, look(original, working.limits()))
        found = swings.find(moved, heard, rate=clip.slowdown)
        with transaction.atomic():
            if not lease.settle(
                SwingSearch.State.DONE,
                reason="",
                may_pass_later=False,
                with_sound=heard is not None,
            ):
                raise LeaseLost
            service.take_found(clip, found)
