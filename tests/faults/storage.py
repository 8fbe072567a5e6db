"""The site's folder storage, which fails or dawdles while a file in the control folder says so."""

from __future__ import annotations

import errno
import os
import time
from pathlib import Path
from typing import Any

from portal.files.storages import PrivateFolderStorage

SLOW_S = 0.3
ASKED = ("put", "look", "open_at", "local", "delete", "listdir", "exists")


def control(name: str) -> Path:
    """A file by which the test speaks to the processes of its site."""
    return Path(os.environ["FAULTS_FOLDER"]) / name


class FaultyStorage(PrivateFolderStorage):
    """Obeys `storage-fails` and `storage-slow` in the control folder, at every call."""

    def __getattribute__(self, name: str) -> Any:
        if name in ASKED:
            if control("storage-fails").exists():
                raise OSError(errno.EIO, "the storage is away, by order of the test")
            if control("storage-slow").exists():
                time.sleep(SLOW_S)
            if name == "put" and control("storage-full").exists():
                raise OSError(errno.ENOSPC, "the storage is full, by order of the test")
        return super().__getattribute__(name)
