"""What a worker does for clips: prepare one, look for its swings, make cuts, pull stills.

The row tells how far the work is. Each step may end the process: what is done is on the row,
what is not is done again, and whoever lost the lease takes back what it wrote.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import ExitStack, contextmanager

from celery import shared_task

from lessons.clips import cutting, preparing, pulling, searching
from lessons.clips.models import Clip, Cut, Still, SwingSearch
from portal.work.lease import Lease, claimed
from portal.work.sending import does_work

MOST_STILLS = 20


@does_work(Clip)
@shared_task
def prepare(pk: int) -> None:
    """Bring one clip from received to ready or rejected."""
    with claimed(Clip, pk) as lease:
        if lease is not None:
            preparing.prepare_clip(lease)


@does_work(SwingSearch)
@shared_task
def search(pk: int) -> None:
    """Look for the swings of one clip."""
    with claimed(SwingSearch, pk) as lease:
        if lease is not None:
            searching.find_swings(lease)


@does_work(Cut)
@shared_task
def cut(pk: int) -> None:
    """Make one cut, and after it the others that wait for the same clip."""
    wanted = Cut.objects.filter(pk=pk).select_related("clip").first()
    if wanted is not None:
        cutting.make_cuts(wanted.clip, pk)


@does_work(Still)
@shared_task
def pull(pk: int) -> None:
    """Pull one still, and with it the others that wait for the same clip."""
    still = Still.objects.filter(pk=pk).first()
    if still is None:
        return
    with _claimed_together(still) as leases:
        if leases:
            pulling.pull_stills(still.clip, leases)


@contextmanager
def _claimed_together(still: Still) -> Iterator[list[Lease]]:
    """The leases of this still and of the waiting ones of its clip, as far as they are free."""
    waiting = Still.objects.filter(clip=still.clip_id, state=Still.WAITING).exclude(pk=still.pk)
    with ExitStack() as stack:
        leases = []
        for pk in [still.pk, *waiting.values_list("pk", flat=True)[: MOST_STILLS - 1]]:
            lease = stack.enter_context(claimed(Still, pk))
            if lease is not None:
                leases.append(lease)
        yield leases
