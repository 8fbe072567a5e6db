"""Keeping some of the disk free: a full one harms the database and everything under way."""

from __future__ import annotations

import shutil

from django.conf import settings

DISK_FULL = (
    "The site's disk is nearly full, so nothing more can be taken in now. What you sent so far is "
    "kept. Ask the person who runs this site to make room, then go on."
)


def has_room_for(size: int) -> bool:
    """Whether so many bytes more leave the reserve free on the data volume."""
    return shutil.disk_usage(settings.SCRATCH_DIR).free - size >= settings.KEEP_FREE_BYTES
