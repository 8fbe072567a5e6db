"""What lies in the private storage, and which row refers to it."""

from __future__ import annotations

from collections.abc import Iterator

from django.apps import apps
from django.core.files.storage import Storage, default_storage
from django.db.models import FileField
from django.utils import timezone


def referred_names() -> Iterator[str]:
    """The storage name of every file that a row of any model refers to."""
    for model in apps.get_models():
        for field in model._meta.get_fields():
            if isinstance(field, FileField):
                rows = model._base_manager.exclude(**{field.name: ""})
                yield from rows.values_list(field.name, flat=True).iterator()


def stored_names(storage: Storage = default_storage, folder: str = "") -> Iterator[str]:
    """The name of every file in the storage."""
    try:
        folders, files = storage.listdir(folder)
    except FileNotFoundError:
        return
    prefix = f"{folder}/" if folder else ""
    yield from (prefix + name for name in files)
    for name in folders:
        yield from stored_names(storage, prefix + name)


def remove_orphans(older_than_s: float) -> tuple[int, int]:
    """Remove stored files that no row refers to; returns how many, and their bytes.

    Only files older than `older_than_s` seconds: a newer one may belong to a row that is about
    to be committed. The list of files is taken before the list of rows for the same reason.
    """
    lying = list(stored_names())
    known = set(referred_names())
    count = size = 0
    for name in lying:
        if name in known:
            continue
        age = timezone.now() - default_storage.get_modified_time(name)
        if age.total_seconds() >= older_than_s:
            size += default_storage.size(name)
            default_storage.delete(name)
            count += 1
    return count, size
