"""Making what is saved of pairings: pictures at once, films behind what else takes long."""

from __future__ import annotations

from celery import shared_task

from lessons.pairings import making
from lessons.pairings.models import SavedPairing
from portal.work.lease import claimed
from portal.work.sending import does_work


@does_work(SavedPairing)
@shared_task
def save(pk: int) -> None:
    """Make a picture; hand a film on to the workers that may be busy for longer."""
    if SavedPairing.objects.filter(pk=pk, kind=SavedPairing.Kind.FILM).exists():
        film.delay(pk)
    else:
        _make(pk)


@shared_task
def film(pk: int) -> None:
    """Make a film."""
    _make(pk)


def _make(pk: int) -> None:
    with claimed(SavedPairing, pk) as lease:
        if lease is not None:
            making.make(lease)
