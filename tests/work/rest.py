"""Time that passes for work that was put back."""

from __future__ import annotations

from portal.work.models import WorkRow


def rested(row: WorkRow) -> int:
    """The row's primary key, after the time is over in which nobody takes it up."""
    waiting = type(row)._base_manager.filter(pk=row.pk, state=row.WAITING)
    waiting.update(lease_until=None)
    return row.pk
