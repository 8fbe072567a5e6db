"""What happens after an upload: joined, taken over, let go, or swept away."""

from __future__ import annotations

import datetime
from pathlib import Path

import pytest
from django.core.files.storage import default_storage
from django.db import OperationalError, transaction
from django.utils import timezone

from portal.accounts.models import User
from portal.files import uploads
from portal.files.local import scratch_folder
from portal.files.models import Piece, Upload
from portal.files.uploads import IncompleteUploadError, assemble, forget, sweep_uploads, take_piece

pytestmark = pytest.mark.django_db(transaction=True)


class Bytes:
    def __init__(self, content: bytes) -> None:
        self.content = content

    def read(self, amount: int) -> bytes:
        self.content, part = self.content[amount:], self.content[:amount]
        return part


def upload_of(coach: User, *pieces: bytes, length: int | None = None, days: int = 7) -> Upload:
    upload = Upload.objects.create(
        owner=coach,
        kind="parcel",
        length=length or sum(map(len, pieces)),
        expires_at=timezone.now() + datetime.timedelta(days=days),
    )
    for piece in pieces:
        take_piece(upload, upload.offset, Bytes(piece), announced=len(piece), checksum=None)
    return upload


def folder_of(upload: Upload) -> Path:
    return Path(default_storage.path(upload.folder))


def test_the_pieces_are_joined_in_order_as_often_as_needed(coach, parcels):
    upload = upload_of(coach, b"one ", b"two ", b"three")
    for _ in range(2):
        with scratch_folder() as folder:
            assert assemble(upload, folder).read_bytes() == b"one two three"


def test_a_piece_stays_where_the_database_may_have_noted_it(coach, parcels, monkeypatch):
    """The line to the database breaks after the commit and before its answer."""
    upload = upload_of(coach, b"one ", length=8)

    def noted_and_broken(*args: object) -> None:
        real(*args)
        transaction.on_commit(broken)

    def broken() -> None:
        raise OperationalError("server closed the connection unexpectedly")

    real = uploads.advance
    with monkeypatch.context() as patched:
        patched.setattr(uploads, "advance", noted_and_broken)
        with pytest.raises(OperationalError):
            take_piece(upload, 4, Bytes(b"two "), announced=4, checksum=None)
    upload.refresh_from_db()
    with scratch_folder() as folder:
        assert assemble(upload, folder).read_bytes() == b"one two "


def test_an_upload_is_let_go_while_the_store_is_away(coach, parcels, monkeypatch, caplog):
    upload = upload_of(coach, b"one ", length=8)

    def away(folder: str) -> None:
        raise OSError("the store is away")

    with monkeypatch.context() as patched:
        patched.setattr(uploads.default_storage, "listdir", away)
        forget(upload)
    assert not Upload.objects.exists()
    assert "the sweep of files will" in caplog.text


def test_an_upload_that_is_not_complete_is_not_joined(coach, parcels):
    upload = upload_of(coach, b"one ", length=10)
    with scratch_folder() as folder, pytest.raises(IncompleteUploadError, match="end at 4"):
        assemble(upload, folder)


def test_a_gap_is_noticed(coach, parcels):
    upload = upload_of(coach, b"one ", b"two ", b"three")
    upload.pieces.get(offset=4).delete()
    with scratch_folder() as folder, pytest.raises(IncompleteUploadError, match="begins at 4"):
        assemble(upload, folder)


def test_a_lost_piece_is_noticed(coach, parcels):
    upload = upload_of(coach, b"one ", b"two ")
    Path(upload.pieces.get(offset=4).file.path).unlink()
    with scratch_folder() as folder, pytest.raises(IncompleteUploadError, match="at 4 is gone"):
        assemble(upload, folder)


def test_a_piece_of_another_size_is_noticed(coach, parcels):
    upload = upload_of(coach, b"one ", b"two ")
    Path(upload.pieces.get(offset=0).file.path).write_bytes(b"on")
    with scratch_folder() as folder, pytest.raises(IncompleteUploadError, match="another size"):
        assemble(upload, folder)


def test_forgetting_a_complete_upload_deletes_the_pieces_and_remembers_the_answer(coach, parcels):
    upload = upload_of(coach, b"one ", b"two ")
    folder = folder_of(upload)
    (folder / "0-lost-race").write_bytes(b"one ")

    forget(upload)
    forget(upload)

    assert not folder.exists()
    assert not Piece.objects.exists()
    assert Upload.objects.get().result == "/parcels/1/"


def test_the_sweep_removes_what_was_abandoned(coach, parcels):
    left = upload_of(coach, b"one ", length=10, days=-1)
    current = upload_of(coach, b"one ", length=10)

    assert sweep_uploads() == 1

    assert Upload.objects.get() == current
    assert not folder_of(left).exists()
    assert folder_of(current).exists()


def test_the_sweep_keeps_a_complete_upload_that_nobody_has_taken_over(coach, parcels):
    upload = upload_of(coach, b"one ", b"two ")
    Upload.objects.update(expires_at=timezone.now() - datetime.timedelta(days=90))
    assert sweep_uploads() == 0
    with scratch_folder() as folder:
        assert assemble(upload, folder).read_bytes() == b"one two "


def test_the_sweep_removes_the_row_of_an_upload_long_taken_over(coach, parcels):
    forget(upload_of(coach, b"one "))
    assert sweep_uploads() == 0
    Upload.objects.update(expires_at=timezone.now() - datetime.timedelta(days=1))
    assert sweep_uploads() == 1
    assert not Upload.objects.exists()
