"""Keeping, lending and deleting stored files; scratch space."""

from __future__ import annotations

import contextlib
import os
import re
import subprocess
import sys
import time
from pathlib import Path

import pytest
from django.core.files.storage import default_storage
from django.db import OperationalError, transaction

from portal.files import local
from portal.files.local import (
    delete_on_commit,
    keep,
    local_copy,
    scratch_folder,
    sweep_scratch,
    taken_back,
)
from portal.files.models import Piece


@pytest.fixture
def made() -> str:
    """The storage name of a file that was made in scratch space."""
    with scratch_folder() as folder:
        path = folder / "made"
        path.write_bytes(b"swing")
        return keep(path, "clips/study.mp4")


def test_a_kept_file_has_a_name_that_nobody_can_guess(made, stored_files):
    assert re.fullmatch(r"clips/[0-9a-f]{32}/study\.mp4", made)
    assert (stored_files / made).read_bytes() == b"swing"


def test_a_kept_file_is_renamed_and_not_copied(tmp_path, stored_files):
    with scratch_folder() as folder:
        path = folder / "made"
        path.write_bytes(b"swing")
        number = path.stat().st_ino
        name = keep(path, "watch.mp4")
        assert not path.exists()
    assert (stored_files / name).stat().st_ino == number


def test_a_file_from_another_volume_is_put_in_place_whole(stored_files):
    elsewhere = Path("/dev/shm")
    if not elsewhere.is_dir() or elsewhere.stat().st_dev == stored_files.parent.stat().st_dev:
        pytest.skip("there is no second volume")
    path = elsewhere / f"carryover-{os.getpid()}"
    path.write_bytes(b"swing")
    try:
        name = keep(path, "clips/study.mp4")
    finally:
        path.unlink(missing_ok=True)
    assert (stored_files / name).read_bytes() == b"swing"
    assert [file.name for file in (stored_files / name).parent.iterdir()] == ["study.mp4"]


@pytest.mark.parametrize(
    "name", ["../up.mp4", "/abs.mp4", "clips/../../up", "Ines Marlowe.mp4", "", "clips/", ".hidden"]
)
def test_only_plain_names_are_kept(name, tmp_path):
    path = tmp_path / "made"
    path.write_bytes(b"swing")
    with pytest.raises(ValueError, match="plain name"):
        keep(path, name)
    assert path.exists()


def test_a_local_copy_in_a_folder_is_the_file_itself(made, stored_files):
    with local_copy(Piece(file=made).file) as path:
        assert path == stored_files / made
    assert path.exists()


def test_a_local_copy_of_nothing_is_not_found():
    with pytest.raises(FileNotFoundError), local_copy(Piece(file="clips/none/x").file):
        pass


def test_scratch_space_lies_on_the_data_volume_and_is_left_clean(settings):
    with scratch_folder() as folder:
        assert folder.parent == settings.SCRATCH_DIR
        (folder / "half").write_bytes(b"swing")
    assert not folder.exists()


@pytest.mark.django_db(transaction=True)
def test_a_file_is_deleted_only_with_the_commit(made):
    with transaction.atomic():
        delete_on_commit(made, "")
        assert default_storage.exists(made)
    assert not default_storage.exists(made)
    assert not Path(default_storage.path(made)).parent.exists(), "its random folder goes too"


@pytest.mark.django_db(transaction=True)
def test_a_file_stays_when_the_transaction_is_rolled_back(made):
    with transaction.atomic():
        delete_on_commit(made)
        transaction.set_rollback(True)
    assert default_storage.exists(made)


def test_what_killed_processes_left_is_swept_after_two_days(settings):
    stale, fresh = settings.SCRATCH_DIR / "work-stale", settings.SCRATCH_DIR / "work-fresh"
    for folder in (stale, fresh):
        folder.mkdir()
        (folder / "half").write_bytes(b"swing")
    file = settings.SCRATCH_DIR / "spooled"
    file.write_bytes(b"swing")
    past = time.time() - local.STALE_AFTER_S - 60
    os.utime(stale, (past, past))
    os.utime(file, (past, past))

    assert sweep_scratch() == 2

    assert not stale.exists()
    assert (fresh / "half").exists()
    (fresh / "half").unlink()
    fresh.rmdir()


KILLED = """
import os, signal, sys
from pathlib import Path
from django.conf import settings
settings.configure(SCRATCH_DIR=Path(sys.argv[1]))
from portal.files.local import scratch_folder
with scratch_folder() as folder:
    (folder / "half").write_bytes(b"swing")
    os.kill(os.getpid(), signal.SIGKILL)
"""


def test_what_a_killed_process_left_is_swept_at_once_and_what_is_in_use_is_not(settings):
    """The kernel lets go of a dead process's lock: flock(2)."""
    subprocess.run([sys.executable, "-c", KILLED, str(settings.SCRATCH_DIR)], check=False)
    (left,) = settings.SCRATCH_DIR.glob("work-*")
    assert sweep_scratch() == 0, "it may just have been made"
    with scratch_folder() as used:
        assert sweep_scratch(ownerless_after_s=0) == 1
        assert not left.exists()
        assert used.exists()


def test_files_are_taken_back_when_the_row_did_not_want_them(made, stored_files):
    with contextlib.suppress(LookupError), taken_back() as placed:
        placed.append(made)
        raise LookupError
    assert not (stored_files / made).exists()


def test_files_stay_where_the_database_may_have_written_the_row(made, stored_files):
    with pytest.raises(OperationalError), taken_back(made):
        raise OperationalError("server closed the connection unexpectedly")
    assert (stored_files / made).exists()


def test_files_stay_when_all_went_well(made, stored_files):
    with taken_back(made):
        pass
    assert (stored_files / made).exists()
