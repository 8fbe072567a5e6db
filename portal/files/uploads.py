"""Taking uploads in: begun, received piece by piece, completed once, taken over, let go.

The row's offset is the truth about how much has arrived. It moves in one short transaction, by an
UPDATE that only succeeds from the offset the sender spoke of, after the piece is safely stored; no
transaction is open while bytes stream.
"""

from __future__ import annotations

import datetime
import hashlib
import logging
import secrets
from pathlib import Path
from typing import Protocol

from django.conf import settings
from django.contrib.auth.models import AbstractBaseUser
from django.core.files.storage import default_storage
from django.db import transaction
from django.http import UnreadablePostError
from django.template.defaultfilters import filesizeformat
from django.utils import timezone

from portal.files.away import AWAY, is_full
from portal.files.disk import DISK_FULL, has_room_for
from portal.files.kinds import kind_named
from portal.files.local import delete_now, scratch_folder, taken_back
from portal.files.models import Piece, Upload
from portal.files.tus import Checksum, TusError

log = logging.getLogger(__name__)
READ_BYTES = 256 * 1024


class IncompleteUploadError(Exception):
    """The pieces of an upload do not make the whole file."""


class Stream(Protocol):
    """Where a piece's bytes come from; an HttpRequest is one."""

    def read(self, amount: int, /) -> bytes: ...


def begin_upload(owner: AbstractBaseUser, length: int, metadata: dict[str, str]) -> Upload:
    """Begin an upload of `length` bytes; raises `TusError` or `Refused` with the reason."""
    if length == 0:
        raise TusError(400, "This file is empty. Choose another one.")
    if length > settings.MAX_CLIP_BYTES:
        raise TusError(
            413,
            f"This file has {filesizeformat(length)}; the most that can be sent is "
            f"{filesizeformat(settings.MAX_CLIP_BYTES)}. Trim it on your phone first.",
        )
    name = metadata.get("kind", "")
    kind_named(name).check(owner, metadata, length)
    if not has_room_for(length):
        raise TusError(507, DISK_FULL)
    return Upload.objects.create(
        owner=owner,
        kind=name,
        metadata=metadata,
        length=length,
        expires_at=timezone.now() + datetime.timedelta(days=settings.UPLOAD_DAYS),
    )


def take_piece(
    upload: Upload, offset: int, stream: Stream, *, announced: int, checksum: Checksum | None
) -> None:
    """Receive the bytes from `offset` on, and complete the upload with the last of them.

    A connection that breaks leaves what came, unless a checksum speaks for the whole piece. Of two
    senders of the same piece one wins, the other is told 409. `upload` is up to date afterwards.
    """
    if offset != upload.offset:
        raise moved(upload)
    left = upload.length - offset
    if announced > left:
        raise TusError(413, "This piece goes beyond the length that was said at the start.")
    if not has_room_for(announced):
        raise TusError(507, DISK_FULL)
    name = f"{upload.folder}/{offset}-{secrets.token_hex(8)}"
    with scratch_folder() as folder:
        size = receive(stream, folder / "piece", left, checksum)
        if size == 0:
            return
        default_storage.put(folder / "piece", name)
    with taken_back(name), transaction.atomic():
        advance(upload, offset, size, name)
    upload.refresh_from_db()


def receive(stream: Stream, path: Path, most: int, checksum: Checksum | None) -> int:
    """Write a piece to a local file, check it, and return its size in bytes."""
    digest = hashlib.new(checksum.algorithm, usedforsecurity=False) if checksum else None
    size = 0
    try:
        with path.open("wb") as file:
            while chunk := read_some(stream):
                size += len(chunk)
                if size > most:
                    raise TusError(413, "This piece goes beyond the length said at the start.")
                file.write(chunk)
                if digest:
                    digest.update(chunk)
    except OSError as error:
        if is_full(error):
            log.warning("disk full while a piece came in: %s", error)
            raise TusError(507, DISK_FULL) from error
        raise
    if checksum and digest and digest.digest() != checksum.digest:
        raise TusError(460, "This piece was damaged on its way. Send it again.")
    return size


def read_some(stream: Stream) -> bytes:
    """The next bytes; none at the end, or when the connection broke."""
    try:
        return stream.read(READ_BYTES)
    except UnreadablePostError:
        return b""


def advance(upload: Upload, offset: int, size: int, name: str) -> None:
    """Note a stored piece; with the last one the upload is completed. Inside a transaction."""
    rows = Upload.objects.filter(pk=upload.pk, offset=offset, finished_at__isnull=True)
    if not rows.update(offset=offset + size):
        raise moved(upload)
    Piece.objects.create(upload=upload, offset=offset, size=size, file=name)
    if offset + size < upload.length:
        return
    Upload.objects.filter(pk=upload.pk).update(finished_at=timezone.now())
    upload.refresh_from_db()
    result = kind_named(upload.kind).finish(upload)
    Upload.objects.filter(pk=upload.pk).update(result=result)


def moved(upload: Upload) -> TusError:
    """The answer to a sender who speaks of another offset than the row's."""
    now = Upload.objects.filter(pk=upload.pk).values_list("offset", flat=True).first()
    if now is None:
        return TusError(404, "This upload is gone.")
    return TusError(409, f"The upload stands at byte {now}.", Upload_Offset=str(now))


def assemble(upload: Upload, folder: Path) -> Path:
    """Join the pieces into one file in `folder`, in order and without a gap, and return its path.

    Raises `IncompleteUploadError` if the pieces do not make the whole length. Changes nothing:
    can be repeated until `forget`.
    """
    path = folder / "assembled"
    with path.open("wb") as whole:
        for piece in upload.pieces.order_by("offset"):
            if piece.offset != whole.tell():
                raise IncompleteUploadError(f"{upload}: no piece begins at {whole.tell()}")
            try:
                source = piece.file.storage.open_at(piece.file.name, 0, piece.size)
            except FileNotFoundError as error:
                raise IncompleteUploadError(
                    f"{upload}: the piece at {piece.offset} is gone"
                ) from error
            try:
                while chunk := source.read(READ_BYTES):
                    whole.write(chunk)
            finally:
                source.close()
            if whole.tell() != piece.offset + piece.size:
                raise IncompleteUploadError(
                    f"{upload}: the piece at {piece.offset} has another size"
                )
        if whole.tell() != upload.length:
            raise IncompleteUploadError(f"{upload}: the pieces end at {whole.tell()}")
    return path


def forget(upload: Upload) -> None:
    """Let go of an upload's pieces once the transaction is committed.

    The small row of a completed upload stays until its time is over, so that a phone that lost
    the last answer can still ask what became of it; any other row goes at once.
    """
    with transaction.atomic():
        upload.pieces.all().delete()
        Upload.objects.filter(pk=upload.pk, finished_at__isnull=True).delete()
        transaction.on_commit(lambda: delete_folder(upload.folder))


def delete_folder(folder: str) -> None:
    """Delete whatever lies in an upload's folder, pieces of lost races included."""
    try:
        names = default_storage.listdir(folder)[1]
    except FileNotFoundError:
        return
    except AWAY as error:
        log.warning("folder %s not deleted, the sweep of files will: %s", folder, error)
        return
    delete_now(*(f"{folder}/{name}" for name in names))


def sweep_uploads() -> int:
    """Remove abandoned uploads and the rows of those long taken over; returns how many went.

    A completed upload whose pieces nobody has taken over yet stays, however old it is.
    """
    gone = 0
    for pk in list(Upload.objects.abandoned().values_list("pk", flat=True)[:1000]):
        with transaction.atomic():
            # Looked at again under the lock: the last piece may just have come in
            upload = Upload.objects.abandoned().select_for_update().filter(pk=pk).first()
            if upload is not None:
                forget(upload)
                gone += 1
    old = list(Upload.objects.taken_over().values_list("pk", flat=True)[:1000])
    Upload.objects.filter(pk__in=old).delete()
    return gone + len(old)
