"""Files between the private storage and programs that want a path.

Scratch space lies on the data volume, never in the system's temp folder: it is as large as the
files it is for, and a finished file can be renamed into place.
"""

from __future__ import annotations

import fcntl
import logging
import os
import re
import secrets
import shutil
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from django.conf import settings
from django.core.files.storage import default_storage
from django.db import DatabaseError, transaction
from django.db.models.fields.files import FieldFile

from portal.files.away import AWAY

log = logging.getLogger(__name__)
STALE_AFTER_S = 2 * 24 * 3600
OWNERLESS_AFTER_S = 60  # a new folder is not locked yet
OWNED = "work-"
PLAIN = re.compile(r"(?:[a-z0-9][a-z0-9_-]*/)*[a-z0-9][a-z0-9._-]*")


@contextmanager
def scratch_folder() -> Iterator[Path]:
    """An empty folder on the data volume, gone after the block.

    It is locked meanwhile: the kernel lets go of the lock of a killed process, by which
    `sweep_scratch` knows what nobody works in any more.
    """
    settings.SCRATCH_DIR.mkdir(parents=True, exist_ok=True)
    with (
        tempfile.TemporaryDirectory(
            prefix=OWNED, dir=settings.SCRATCH_DIR, ignore_cleanup_errors=True
        ) as folder,
        _open_folder(Path(folder)) as descriptor,
    ):
        _lock(descriptor)
        yield Path(folder)


@contextmanager
def _open_folder(folder: Path) -> Iterator[int]:
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        yield descriptor
    finally:
        os.close(descriptor)


def _lock(descriptor: int) -> bool:
    """Whether nobody else holds it; false too on a file system that knows no locks."""
    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


@contextmanager
def local_copy(field_file: FieldFile) -> Iterator[Path]:
    """A readable local path of a stored file, for the length of the block; never write to it.

    A folder storage lends the file's own place; a store's file is fetched to scratch space.
    Raises FileNotFoundError if the file is not there.
    """
    with scratch_folder() as folder:
        yield field_file.storage.local(field_file.name, folder)


def keep(path: Path, name: str) -> str:
    """Put a finished local file into the private storage and return its storage name.

    `name` is a plain one such as `clips/watch.mp4`, never made of what a person typed; the file
    goes to `clips/<32 random hex digits>/watch.mp4`. It is flushed and put in place whole; the
    local file is gone afterwards if it could be renamed.
    """
    if not PLAIN.fullmatch(name):
        raise ValueError(f"not a plain name to keep a file under: {name!r}")
    prefix, _, last = name.rpartition("/")
    stored = f"{prefix}/" if prefix else ""
    stored += f"{secrets.token_hex(16)}/{last}"
    default_storage.put(path, stored)
    return stored


@contextmanager
def taken_back(*names: str) -> Iterator[list[str]]:
    """Delete these files, and those whose names the block adds, if the block raises.

    Not where the database fails: it may have written the row all the same, and a row without its
    file is worse than a file without its row, which the sweep of files finds.
    """
    placed = list(names)
    needed = False
    try:
        yield placed
        needed = True
    except DatabaseError:
        needed = True
        raise
    finally:
        if not needed:
            delete_now(*placed)


def delete_on_commit(*names: str) -> None:
    """Delete stored files once the transaction that lets them go is committed."""
    wanted = [name for name in names if name]
    if wanted:
        transaction.on_commit(lambda: delete_now(*wanted))


def delete_now(*names: str) -> None:
    """Delete stored files. One that can't be deleted is left behind with a word in the log."""
    for name in names:
        try:
            default_storage.delete(name)
        except AWAY as error:
            log.warning("stored file %s not deleted: %s", name, error)


def sweep_scratch(ownerless_after_s: float = OWNERLESS_AFTER_S) -> int:
    """Remove what killed processes left in the scratch space; returns how many.

    A folder whose owner is gone goes after `ownerless_after_s` seconds, anything after two days.
    """
    gone = 0
    for left in settings.SCRATCH_DIR.iterdir():
        try:
            age_s = time.time() - left.stat().st_mtime
            if age_s < STALE_AFTER_S and not (
                age_s >= ownerless_after_s and left.name.startswith(OWNED) and _ownerless(left)
            ):
                continue
            if left.is_dir():
                shutil.rmtree(left)
            else:
                left.unlink()
        except FileNotFoundError:
            continue  # its owner was faster
        except OSError as error:
            log.warning("scratch %s not removed: %s", left, error)
            continue
        gone += 1
    return gone


def _ownerless(folder: Path) -> bool:
    with _open_folder(folder) as descriptor:
        return _lock(descriptor)
