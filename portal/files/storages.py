"""Where private files lie: a folder of the site, or an S3-compatible store."""

from __future__ import annotations

from django.core.files.storage import FileSystemStorage
from storages.backends.s3 import S3Storage


class PrivateFolderStorage(FileSystemStorage):
    """A folder that no web server shows by itself."""


class PrivateS3Storage(S3Storage):
    """A private bucket; `public_url` is its address as phones reach it."""

    def __init__(self, *, public_url: str = "", **options: object) -> None:
        self.public_url = public_url
        super().__init__(default_acl=None, querystring_auth=True, file_overwrite=False, **options)
