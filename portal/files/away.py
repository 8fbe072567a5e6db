"""A store or a disk that is away or full, told from what may be the fault of one file."""

from __future__ import annotations

import errno

from boto3.exceptions import Boto3Error, RetriesExceededError, S3UploadFailedError
from botocore.exceptions import BotoCoreError, ClientError, HTTPClientError
from botocore.exceptions import ConnectionError as NotConnectedError

# What a store or a disk raises that is away for a while, or that fails at one file
AWAY = (OSError, BotoCoreError, Boto3Error, ClientError)


def is_full(error: BaseException | None) -> bool:
    """Whether a disk had no room left, or its owner none of the share that is theirs."""
    return isinstance(error, OSError) and error.errno in {errno.ENOSPC, errno.EDQUOT}


def is_store_away(error: BaseException | None) -> bool:
    """Whether the store can't be reached, or answers that it can't serve anybody now.

    What it refuses (a wrong key, a bucket that is not there) is another matter, and so are all
    other errors of a disk: they may be the fault of this one file for ever.
    """
    if isinstance(error, S3UploadFailedError):
        error = error.__context__  # the store's own answer, which boto3 hides
    if isinstance(error, ClientError):
        status = error.response.get("ResponseMetadata", {}).get("HTTPStatusCode", 0)
        return status >= 500 or status == 429
    return isinstance(error, NotConnectedError | HTTPClientError | RetriesExceededError)
