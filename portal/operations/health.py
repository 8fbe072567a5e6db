"""Whether the parts the site stands on are there."""

from __future__ import annotations

import shutil
from dataclasses import dataclass

from celery import current_app
from django.conf import settings
from django.core.files.storage import default_storage
from django.db import DatabaseError, connection
from kombu.exceptions import OperationalError

LEAST_FREE_BYTES = 1_000_000_000


@dataclass(frozen=True)
class Finding:
    """One part of the site: whether it is well, and what was seen."""

    part: str
    well: bool
    seen: str


def look_over() -> list[Finding]:
    """Database, broker, private files and disk, each asked in earnest."""
    return [_database(), _broker(), _files(), _disk()]


def _database() -> Finding:
    try:
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1")
    except DatabaseError as error:
        return Finding("database", False, str(error).strip())
    return Finding("database", True, connection.vendor)


def _broker() -> Finding:
    try:
        with current_app.connection_for_write() as link:
            link.ensure_connection(max_retries=1, timeout=3)
            return Finding("broker", True, link.transport.driver_name)
    except (OperationalError, OSError) as error:
        return Finding("broker", False, str(error))


def _files() -> Finding:
    try:
        default_storage.exists("health")
    except Exception as error:  # noqa: BLE001 - a store's client raises classes of its own
        return Finding("files", False, f"{type(error).__name__}: {error}")
    return Finding("files", True, type(default_storage._wrapped).__name__)


def _disk() -> Finding:
    free = shutil.disk_usage(settings.DATA_DIR).free
    return Finding("disk", free >= LEAST_FREE_BYTES, f"{free / 1e9:.1f} GB free")
