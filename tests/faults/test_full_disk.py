"""A disk that is full to the last byte: rows, messages, scratch space and files all lie on it."""

from __future__ import annotations

import os
import subprocess
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path

import pytest
from django.conf import settings

from tests.faults.conftest import orders, report_figures
from tests.faults.house import House, until
from tests.running import Site

pytestmark = pytest.mark.servers
DISK_MB = 48
# Full for longer than the tries take that another fault would be given
FULL_TRIES, MOST_FULL_S, RESEND_S = settings.WORK_ATTEMPTS + 1, 60, 4


@pytest.fixture
def small(request, tmp_path: Path, recording: Path) -> Iterator[House]:
    """A site on a small disk of its own where the tests may mount one (as root on Linux)."""
    control, disk = tmp_path / "control", tmp_path / "disk"
    control.mkdir()
    disk.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", f"size={DISK_MB}m", "tmpfs", str(disk)]
    with ExitStack() as stack:
        mounted = os.getuid() == 0 and not subprocess.run(mount, capture_output=True).returncode
        if mounted:
            stack.callback(subprocess.run, ["umount", "-l", str(disk)], check=True)
        own = {"FAULTS_CLAIMS": "yes", "FAULTS_RESEND_S": str(RESEND_S)}
        site = Site(disk, {**orders(control), **own})
        site.manage("make_ready")
        house = House("folders", site, control, recording)
        stack.callback(house.end)
        house.is_mounted = mounted
        yield house
        report_figures(request, house)


@contextmanager
def full(house: House) -> Iterator[None]:
    """Not a byte is left for the length of the block."""
    if not house.is_mounted:
        with house.ordered("storage-full"):
            yield
        return
    ballast = house.site.folder / "ballast"
    with ballast.open("wb", buffering=0) as file:
        for size in (1 << 20, 1 << 12, 1):
            try:
                while True:
                    file.write(b"x" * size)
            except OSError:
                continue
    try:
        yield
    finally:
        ballast.unlink()


def test_a_full_disk_refuses_what_is_new_and_harms_nothing(small: House):
    def tries() -> int:
        return max(small.claims("Clip", pk) for pk in keys)

    with small.site.worker(name="steady"), small.site.beat():
        keys = small.upload(3)
        until(lambda: any(row["is"] == "running" for row in small.rows("Clip")), "one is under way")
        with full(small):
            began = time.monotonic()
            refused = small.ask("upload", str(small.recording))
            # A database that can't write a claim either makes no try
            while tries() < FULL_TRIES and time.monotonic() < began + MOST_FULL_S:
                time.sleep(0.2)
        assert "full" in str(refused), refused
        since = time.monotonic()
        took = small.settled(since)
    orphans = small.inspect()
    slowest = max(keys, key=lambda pk: took["Clip", pk])
    where = "tmpfs" if small.is_mounted else "ENOSPC by storage"
    fault = f"disk full for {since - began:.0f} s ({where})"
    small.note(fault, small.row("Clip", slowest), took["Clip", slowest], orphans)
