"""Where private files lie: a folder of the site, or an S3-compatible store.

Both do the same few things beyond Django's storage, so that nobody else asks which one it is:
`put` a finished local file in place, `look` at one, `open_at` an offset, lend a `local` path.
Files never change once they are in place: a new content gets a new name.
"""

from __future__ import annotations

import datetime
import mimetypes
import os
import shutil
import threading
import uuid
from dataclasses import dataclass
from pathlib import Path
from typing import Any, BinaryIO, Protocol

from botocore.config import Config
from botocore.exceptions import ClientError
from django.core.files.storage import FileSystemStorage
from storages.backends.s3 import S3Storage


@dataclass(frozen=True)
class Look:
    """What is known of a stored file: its size in bytes and when it was put there."""

    size: int
    modified: datetime.datetime


class Readable(Protocol):
    """An open source of bytes."""

    def read(self, amount: int, /) -> bytes: ...
    def close(self) -> None: ...


def flush_folder(folder: Path) -> None:
    """Make the names in a folder last: a rename is only safe once its folder is flushed."""
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def flush_file(path: Path) -> None:
    """Make a file's bytes last."""
    with path.open("rb") as file:
        os.fsync(file.fileno())


class PrivateFolderStorage(FileSystemStorage):
    """A folder that no web server shows by itself."""

    def put(self, path: Path, name: str) -> None:
        """Move a finished local file to `name`; it is there whole or not at all."""
        target = Path(self.path(name))
        target.parent.mkdir(parents=True, exist_ok=True)
        path.chmod(self.file_permissions_mode or 0o600)
        flush_file(path)
        if path.stat().st_dev != target.parent.stat().st_dev:
            # Scratch on another volume: a copy is written aside there first
            aside = target.with_name(f".{uuid.uuid4().hex}")
            path = Path(shutil.copy(path, aside))
            flush_file(path)
        path.replace(target)
        flush_folder(target.parent)
        flush_folder(target.parent.parent)

    def look(self, name: str) -> Look:
        """Size and date; FileNotFoundError if it is not there."""
        found = Path(self.path(name)).stat()
        return Look(
            found.st_size, datetime.datetime.fromtimestamp(int(found.st_mtime), datetime.UTC)
        )

    def open_at(self, name: str, start: int, stop: int) -> BinaryIO:
        """Open for reading from byte `start`; the reader stops at `stop` by itself."""
        file = Path(self.path(name)).open("rb")  # noqa: SIM115 - the caller closes it
        file.seek(start)
        return file

    def local(self, name: str, folder: Path) -> Path:
        """A readable path of the file: its own place, nothing is copied."""
        path = Path(self.path(name))
        path.stat()
        return path

    def delete(self, name: str) -> None:
        """Remove a file, and its random folder once that is empty."""
        super().delete(name)
        folder = Path(self.path(name)).parent
        if folder != Path(self.location):
            try:
                folder.rmdir()
            except OSError:
                return  # other files still lie there


class PrivateS3Storage(S3Storage):
    """A private bucket; `public_url` is its address as phones reach it."""

    def __init__(self, *, public_url: str = "", **options: Any) -> None:
        self.public_url = public_url
        own = bool(options.get("endpoint_url"))
        options.setdefault(
            "client_config",
            Config(
                signature_version="s3v4",
                # A store of one's own seldom has a host name for each bucket
                s3={"addressing_style": "path" if own else "virtual"},
                # Stores other than the first one know few of the newer checksums
                request_checksum_calculation="when_required",
                response_checksum_validation="when_required",
                connect_timeout=5,
                read_timeout=60,
                retries={"max_attempts": 4, "mode": "standard"},
            ),
        )
        super().__init__(default_acl=None, querystring_auth=True, file_overwrite=False, **options)
        self._made: dict[str, Any] = {}
        self._making = threading.Lock()

    def _once(self, what: str, endpoint_url: str | None) -> Any:
        """One connection a process: making one takes longer than most requests."""
        key = f"{what} {os.getpid()}"
        with self._making:
            if key not in self._made:
                self._made[key] = self._create_session().resource(
                    "s3",
                    region_name=self.region_name,
                    endpoint_url=endpoint_url,
                    config=self.client_config,
                )
            return self._made[key]

    @property
    def connection(self) -> Any:
        """The store as this machine reaches it."""
        return self._once("inner", self.endpoint_url)

    def put(self, path: Path, name: str) -> None:
        """Send a finished local file; the store shows it whole or not at all."""
        kind = mimetypes.guess_type(name)[0] or self.default_content_type
        self.connection.meta.client.upload_file(
            str(path), self.bucket_name, name, ExtraArgs={"ContentType": kind}
        )

    def look(self, name: str) -> Look:
        """Size and date; FileNotFoundError if it is not there."""
        try:
            found = self.connection.meta.client.head_object(Bucket=self.bucket_name, Key=name)
        except ClientError as error:
            raise self._explained(error, name) from error
        return Look(found["ContentLength"], found["LastModified"].replace(microsecond=0))

    def open_at(self, name: str, start: int, stop: int) -> Readable:
        """Open the bytes from `start` up to, not including, `stop`."""
        wanted = {"Bucket": self.bucket_name, "Key": name}
        if stop > start:
            wanted["Range"] = f"bytes={start}-{stop - 1}"
        try:
            return self.connection.meta.client.get_object(**wanted)["Body"]
        except ClientError as error:
            raise self._explained(error, name) from error

    def local(self, name: str, folder: Path) -> Path:
        """A readable path of the file: fetched into `folder`."""
        path = folder / (Path(name).name or "file")
        try:
            self.connection.meta.client.download_file(self.bucket_name, name, str(path))
        except ClientError as error:
            raise self._explained(error, name) from error
        return path

    def link(self, name: str, *, seconds: int, content_type: str, disposition: str) -> str:
        """A signed address that a browser can read for so many seconds."""
        client = self._once("public", self.public_url or self.endpoint_url).meta.client
        wanted = {"Bucket": self.bucket_name, "Key": name, "ResponseContentType": content_type}
        if disposition:
            wanted["ResponseContentDisposition"] = disposition
        wanted["ResponseCacheControl"] = f"private, max-age={seconds}"
        return client.generate_presigned_url("get_object", Params=wanted, ExpiresIn=seconds)

    @staticmethod
    def _explained(error: ClientError, name: str) -> Exception:
        if error.response.get("ResponseMetadata", {}).get("HTTPStatusCode") == 404:
            return FileNotFoundError(f"not in the store: {name}")
        return error
