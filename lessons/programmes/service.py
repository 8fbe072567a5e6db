"""What is done to a programme."""

from __future__ import annotations

from collections.abc import Sequence

from django.db import transaction

from lessons.programmes.models import Aim, Programme


@transaction.atomic
def keep_programme(programme: Programme, aims: Sequence[str]) -> Programme:
    """Save a programme with its aims in this order; an aim that stays keeps what was reached."""
    programme.save()
    kept = {aim.words: aim for aim in programme.aims.all()}
    programme.aims.exclude(words__in=aims).delete()
    for order, words in enumerate(aims):
        aim = kept.get(words) or Aim(programme=programme, words=words)
        aim.order = order
        aim.save()
    return programme
