"""Stages of the work at which a process waits until it is killed; a clock that is wrong.

Everything is ordered by the environment, so that each process of a site has its own orders:

    FAULTS_FOLDER   control folder of the test
    FAULTS_STAGES   'Clip:claimed Clip:encoding ...': the first process that comes to a stage makes
                    a file of its name that holds the row's primary key, and waits there for ever
    FAULTS_CLOCK_S  by how many seconds this process's clock is wrong
    FAULTS_CLAIMS   if set, each claim of a row appends 'Clip 12' to the file 'claims'
    FAULTS_RESEND_S after how many seconds a waiting row is sent again (the site's own: 120)
"""

from __future__ import annotations

import datetime
import os
import sys
import threading
import time
import uuid
from collections.abc import Callable
from contextlib import suppress
from typing import Any

from django.db import DatabaseError, connection
from django.utils import timezone
from django.utils.module_loading import autodiscover_modules

from media_tools import source
from portal.work import models as work
from portal.work.models import WorkRow
from tests.faults.storage import FaultyStorage, control

BEAT_S = 1
HALF = 400  # of a thousand: ffmpeg tells how far it is twice a second only
# What this process works on, as it claimed it last: kind and primary key
_at_work = threading.local()


def lay() -> None:
    """Lay the hooks that this process's environment orders."""
    autodiscover_modules("tasks")
    work.SENT_AGAIN_AFTER = datetime.timedelta(
        seconds=float(os.environ.get("FAULTS_RESEND_S", "120"))
    )
    wrong_s = float(os.environ.get("FAULTS_CLOCK_S", "0"))
    if wrong_s:
        shift_clock(datetime.timedelta(seconds=wrong_s))
    if os.environ.get("FAULTS_CLAIMS"):
        count_claims()
    if os.environ.get("FAULTS_STAGES"):
        lay_stages()


def count_claims() -> None:
    claim = WorkRow.claim.__func__

    def counted(cls: type[WorkRow], pk: int) -> uuid.UUID | None:
        token = claim(cls, pk)
        if token is not None:
            with control("claims").open("a") as claims:
                claims.write(f"{cls.__name__} {pk}\n")
        return token

    WorkRow.claim = classmethod(counted)


def shift_clock(by: datetime.timedelta) -> None:
    true_now = timezone.now
    timezone.now = lambda: true_now() + by


def stage(name: str, detail: object = "", keep: Callable[[], object] | None = None) -> None:
    """Wait here for the end, if this stage is ordered and no other process waits at it.

    `keep` holds the lease meanwhile where no thread does yet: the row is to be lost by the kill,
    not by how long the other stages take.
    """
    kind, pk = getattr(_at_work, "row", ("", 0))
    if f"{kind}:{name}" not in os.environ["FAULTS_STAGES"].split():
        return
    try:
        with control(f"at-{kind}-{name}").open("x") as mark:
            mark.write(f"{pk} {detail}")
    except FileExistsError:
        return
    if connection.in_atomic_block:
        # As the database does when the process dies; until then nobody else is locked out
        connection.connection.rollback()
    while True:
        time.sleep(BEAT_S)
        with suppress(DatabaseError):
            if keep is not None:
                keep()


def replace_everywhere(old: Callable[..., Any], new: Callable[..., Any]) -> None:
    """Put a function in place of another in every module that took it by name."""
    for module in list(sys.modules.values()):
        if module is not None and module.__name__.split(".")[0] in {"portal", "lessons"}:
            for name, value in list(vars(module).items()):
                if value is old:
                    setattr(module, name, new)


def lay_stages() -> None:
    """claimed, joining, looking, encoding, keeping, settling."""
    claim, extend, settle = (getattr(WorkRow, n).__func__ for n in ("claim", "extend", "settle"))
    true_look, true_put, true_open = source.look, FaultyStorage.put, FaultyStorage.open_at
    joined: list[str] = []
    kept: list[str] = []

    def claiming(cls: type[WorkRow], pk: int) -> uuid.UUID | None:
        token = claim(cls, pk)
        if token is not None:
            _at_work.row = (cls.__name__, pk)
            joined.clear()
            kept.clear()
            stage("claimed", keep=lambda: extend(cls, pk, token))
        return token

    def extending(cls: type[WorkRow], pk: int, token: uuid.UUID, **values: Any) -> bool:
        held = extend(cls, pk, token, **values)
        if values.get("progress_permille", 0) >= HALF:
            stage("encoding", values["progress_permille"])
        return held

    def settling(cls: type[WorkRow], pk: int, token: uuid.UUID, state: str, **values: Any) -> bool:
        if state in {cls.DONE, cls.FAILED}:
            stage("settling")
        return settle(cls, pk, token, state, **values)

    def looking(*args: Any, **options: Any) -> Any:
        found = true_look(*args, **options)
        stage("looking")
        return found

    def opening(storage: FaultyStorage, name: str, *args: Any) -> Any:
        if name.startswith("uploads/"):
            joined.append(name)
            if len(joined) == 2:
                stage("joining")
        return true_open(storage, name, *args)

    def putting(storage: FaultyStorage, path: Any, name: str) -> None:
        true_put(storage, path, name)
        if not name.startswith("uploads/") and "original" not in name:
            kept.append(name)
            if len(kept) == 2:
                stage("keeping")

    WorkRow.claim = classmethod(claiming)
    WorkRow.extend = classmethod(extending)
    WorkRow.settle = classmethod(settling)
    FaultyStorage.put, FaultyStorage.open_at = putting, opening
    replace_everywhere(true_look, looking)
    for module in list(sys.modules.values()):
        if hasattr(module, "PROGRESS_EVERY_S"):
            module.PROGRESS_EVERY_S = 0.0  # short clips are half done before a second is over
