"""Backup and restore: every row and every file in one archive, for any database and store.

The archive is a tar file: `about.json` (when, by which version), `rows.jsonl` (Django's own
serialisation, so that a backup of SQLite can be restored into PostgreSQL), then `files/...`.
"""

from __future__ import annotations

import io
import json
import os
import shutil
import tarfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from django.apps import apps
from django.conf import settings
from django.core import serializers
from django.core.files import File
from django.core.files.storage import default_storage
from django.core.management import call_command
from django.db import connection, transaction
from django.db.migrations.loader import MigrationLoader
from django.db.models import Model
from django.utils import timezone

from portal.accounts.models import User
from portal.files.local import scratch_folder
from portal.operations.stored import referred_names

# Made anew by every site: nobody misses them
LEFT_OUT = {"sessions.session", "contenttypes.contenttype", "auth.permission"}


class CannotKeep(Exception):
    """A backup or restore that can't be done; its text is for the person who runs the site."""


@dataclass(frozen=True)
class Kept:
    """What went into a backup, or came out of one."""

    rows: int
    files: int
    file_bytes: int
    missing: tuple[str, ...] = ()


def back_up(target: Path, say: Callable[[str], None] = lambda line: None) -> Kept:
    """Write the archive aside and put it in place when it is whole.

    Files are never changed once written, so the rows are taken first, in one snapshot, and the
    files after them. A file that is gone by then is named in `missing`.
    """
    if target.exists():
        raise CannotKeep(
            f"{target} is there already. Name a new file; backups are not overwritten."
        )
    if not target.parent.is_dir():
        raise CannotKeep(f"The folder {target.parent} does not exist. Make it first.")
    aside = target.with_name(target.name + ".part")
    with scratch_folder() as folder:
        rows_file = folder / "rows.jsonl"
        rows, names = _write_rows(rows_file)
        say(f"{rows} rows")
        aside.touch(mode=0o600)
        with tarfile.open(aside, "w") as archive:
            _add_bytes(archive, "about.json", json.dumps(_about(rows)).encode())
            archive.add(rows_file, "rows.jsonl")
            files, size, missing = _add_files(archive, names)
    with aside.open("rb") as whole:
        os.fsync(whole.fileno())
    aside.rename(target)
    return Kept(rows, files, size, tuple(missing))


def restore(source: Path, say: Callable[[str], None] = lambda line: None) -> Kept:
    """Put a backup into an empty site. Files come first, so that no row lacks its file."""
    if not source.is_file():
        raise CannotKeep(f"There is no file {source}.")
    if User.objects.exists():
        raise CannotKeep(
            "This site has people in it already. Restore into a new one: set CARRYOVER_DATA (and "
            "DATABASE_URL, S3_BUCKET) to an empty place first."
        )
    try:
        with tarfile.open(source) as archive, scratch_folder() as folder:
            about = json.loads(_member(archive, "about.json").read())
            _must_fit(about["migrations"])
            rows_file = folder / "rows.jsonl"
            with rows_file.open("wb") as out:
                shutil.copyfileobj(_member(archive, "rows.jsonl"), out)
            files, size = _restore_files(archive)
            say(f"{files} files")
            with transaction.atomic():
                call_command("loaddata", str(rows_file), verbosity=0)
    except tarfile.TarError as error:
        raise CannotKeep(f"{source} is not a whole backup: {error}.") from error
    return Kept(about["rows"], files, size)


def _models() -> list[type[Model]]:
    chosen = [m for m in apps.get_models() if m._meta.label_lower not in LEFT_OUT]
    return serializers.sort_dependencies([(None, chosen)])


def _write_rows(target: Path) -> tuple[int, list[str]]:
    count = 0

    def every_row() -> Iterator[Model]:
        nonlocal count
        for model in _models():
            for row in model._base_manager.order_by("pk").iterator(2000):
                count += 1
                yield row

    with transaction.atomic(), target.open("w") as out:
        if connection.vendor == "postgresql":
            with connection.cursor() as cursor:
                cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ")
        serializers.serialize("jsonl", every_row(), stream=out)
        names = list(referred_names())
    return count, names


def _about(rows: int) -> dict[str, object]:
    return {"made_at": timezone.now().isoformat(), "rows": rows, "migrations": _migrations()}


def _migrations() -> list[str]:
    return sorted(f"{app}.{name}" for app, name in MigrationLoader(connection).graph.leaf_nodes())


def _must_fit(theirs: list[str]) -> None:
    ours = _migrations()
    if theirs != ours:
        differing = ", ".join(sorted(set(theirs) ^ set(ours)))
        raise CannotKeep(
            "The backup was made by another version of Carryover. Restore it with that version, "
            f"then bring the site up to date. What differs: {differing}."
        )


def _add_bytes(archive: tarfile.TarFile, name: str, data: bytes) -> None:
    info = tarfile.TarInfo(name)
    info.size = len(data)
    archive.addfile(info, io.BytesIO(data))


def _add_files(archive: tarfile.TarFile, names: list[str]) -> tuple[int, int, list[str]]:
    count = size = 0
    missing = []
    for name in dict.fromkeys(names):
        if not default_storage.exists(name):
            missing.append(name)
            continue
        with default_storage.open(name) as file:
            info = tarfile.TarInfo(f"files/{name}")
            info.size = default_storage.size(name)
            archive.addfile(info, file)
        count, size = count + 1, size + info.size
    return count, size, missing


def _restore_files(archive: tarfile.TarFile) -> tuple[int, int]:
    count = size = 0
    for member in archive:
        if not member.name.startswith("files/") or not member.isfile():
            continue
        name = member.name.removeprefix("files/")
        # The storage refuses names that lead out of it
        kept_as = default_storage.save(name, File(_member(archive, member.name)))
        if kept_as != name:
            raise CannotKeep(f"The store already holds a file {name}. Restore into an empty one.")
        count, size = count + 1, size + member.size
    return count, size


def _member(archive: tarfile.TarFile, name: str) -> io.BufferedReader:
    try:
        opened = archive.extractfile(name)
    except KeyError:
        opened = None
    if opened is None:
        raise CannotKeep(f"This is no backup of Carryover: {name} is missing in it.")
    return opened


def default_target() -> Path:
    """Where a backup goes when no name is given: the data folder, named by the day and time."""
    folder = settings.DATA_DIR / "backups"
    folder.mkdir(exist_ok=True)
    return folder / f"carryover-{timezone.localtime():%Y%m%d-%H%M%S}.tar"
