"""Sending rows to workers, and the sweep that sends the forgotten ones again."""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable

from celery import Task, current_app
from django.db import transaction
from django.utils import timezone
from kombu.exceptions import OperationalError

from portal.work.models import WorkRow

log = logging.getLogger(__name__)
_kinds: dict[type[WorkRow], Task] = {}
_importing = threading.Lock()


def does_work(model: type[WorkRow]) -> Callable[[Task], Task]:
    """Decorator of the task that works on the model's rows: `@does_work(Clip) @shared_task`."""

    def register(task: Task) -> Task:
        _kinds[model] = task
        return task

    return register


def kinds() -> dict[type[WorkRow], Task]:
    """Every kind of row that does work, with its task; a web process has not met them all yet."""
    with _importing:  # Celery lets a second thread pass while the first one still imports
        current_app.loader.import_default_modules()
    return _kinds


def send(row: WorkRow) -> None:
    """Send the row to a worker once the transaction is committed."""
    model, pk = type(row), row.pk
    transaction.on_commit(lambda: send_now(model, pk))


def send_now(model: type[WorkRow], pk: int) -> bool:
    """Send one row at once. A broker that is away is no error: the sweep sends it again."""
    try:
        kinds()[model].delay(pk)
    except (OperationalError, OSError) as error:
        log.warning("%s %s not sent, the sweep will: %s", model.__name__, pk, error)
        return False
    model._default_manager.filter(pk=pk).update(sent_at=timezone.now())
    return True


def sweep() -> dict[str, int]:
    """Send every lost row of every kind again; returns how many of each, by model name."""
    counts: dict[str, int] = {}
    for model in kinds():
        pks = list(model.lost().values_list("pk", flat=True)[:1000])
        counts[model.__name__] = sum(send_now(model, pk) for pk in pks)
    return counts
