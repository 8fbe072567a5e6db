"""Preparing a clip: from an upload's pieces to renditions in their place."""

from __future__ import annotations

import hashlib
import logging
import time
from collections.abc import Callable
from pathlib import Path

from botocore.exceptions import BotoCoreError, ClientError
from django.conf import settings
from django.db import transaction
from django.utils import timezone

from lessons.clips import times
from lessons.clips.models import Clip
from media_tools import prepare as media
from media_tools.errors import MediaError
from media_tools.source import Limits, look
from portal.files import local, uploads
from portal.work.lease import Lease

log = logging.getLogger(__name__)
PROGRESS_EVERY_S = 1.0
GIVEN_UP = (
    "This clip could not be prepared, and the fault is not the video's. The original is kept. "
    "Try again later, and if it fails again tell the person who runs this site."
)
LOST = (
    "The file of this clip is not in the store any more, so it can't be prepared. "
    "Upload the video again."
)
CUT_SHORT = "The end of this video is missing: it was cut off in copying or recording."
DAMAGED = "Some frames of this video are damaged and left out."
# A store or a disk that is away for a while
AWAY = (OSError, BotoCoreError, ClientError)


class LeaseLost(Exception):
    """Another worker has the clip now: stop, and leave nothing behind."""


def limits() -> Limits:
    """What this site takes, as its host has set it."""
    return Limits(size_bytes=settings.MAX_CLIP_BYTES, duration_us=settings.MAX_CLIP_US)


def prepare_clip(lease: Lease) -> None:
    """Do all that is left to do for the clip of the lease, and settle it."""
    clip = Clip.objects.select_related("upload").get(pk=lease.pk)
    if clip.attempts > settings.WORK_ATTEMPTS:
        # It has taken the worker's process with it each time
        lease.settle(Clip.State.REJECTED, reason=GIVEN_UP)
        return
    try:
        _keep_original(clip, lease)
        _make_renditions(clip, lease)
    except LeaseLost:
        log.info("clip %s: the lease is lost, another worker has it", clip.pk)
    except (FileNotFoundError, uploads.IncompleteUploadError) as error:
        log.warning("clip %s: its file is gone: %s", clip.pk, error)
        lease.settle(Clip.State.REJECTED, reason=LOST)
    except MediaError as error:
        log.info("clip %s: %s", clip.pk, error)
        if error.may_pass_later:
            _later(clip, lease, error.sentence)
        else:
            lease.settle(Clip.State.REJECTED, reason=error.sentence)
    except AWAY as error:
        log.warning("clip %s: %s", clip.pk, error)
        _later(clip, lease, GIVEN_UP)


def _later(clip: Clip, lease: Lease, reason: str) -> None:
    """Leave it to the sweep, or give up after the last attempt."""
    if clip.attempts >= settings.WORK_ATTEMPTS:
        lease.settle(Clip.State.REJECTED, reason=reason)
    else:
        lease.settle(Clip.State.RECEIVED, progress_permille=0, sent_at=timezone.now())


def _keep_original(clip: Clip, lease: Lease) -> None:
    """Join the upload's pieces and keep the whole, unchanged; then let the pieces go."""
    if clip.original:
        return
    if clip.upload is None:
        raise FileNotFoundError("neither an original nor an upload")
    upload = clip.upload
    with local.scratch_folder() as folder:
        path = uploads.assemble(upload, folder)
        size, digest = path.stat().st_size, _sha256(path)
        name = local.keep(path, "clips/original")
    with transaction.atomic():
        held = lease.extend(original=name, original_bytes=size, original_sha256=digest, upload=None)
        if held:
            uploads.forget(upload)
    if not held:
        local.delete_now(name)
        raise LeaseLost
    clip.refresh_from_db()


def _make_renditions(clip: Clip, lease: Lease) -> None:
    """Look at the original, make what a player needs, put it in place, settle the row."""
    with local.local_copy(clip.original) as original, local.scratch_folder() as folder:
        source = look(original, limits())
        made = media.prepare(
            original,
            source,
            folder,
            on_progress=_throttled(lease),
            should_stop=lease.lost.is_set,
        )
        times_path = folder / "times.json"
        times.write(made.study_times_us, times_path)
        wanted = {
            "watch": (made.watch, "clips/watch.mp4"),
            "study": (made.study, "clips/study.mp4"),
            "poster": (made.poster, "clips/poster.jpg"),
            "strip": (made.strip, "clips/strip.jpg"),
            "times": (times_path, "clips/times.json"),
        }
        kept: dict[str, str] = {}
        settled = False
        try:
            for field, (path, name) in wanted.items():
                kept[field] = local.keep(path, name)
            settled = lease.settle(
                Clip.State.READY,
                reason=_remark(made),
                progress_permille=1000,
                strip_count=made.strip_count,
                strip_columns=made.strip_columns,
                width_px=made.width_px,
                height_px=made.height_px,
                duration_us=made.duration_us,
                offset_us=made.offset_us,
                **kept,
            )
        finally:
            if not settled:
                local.delete_now(*kept.values())
        if not settled:
            raise LeaseLost


def _remark(made: media.Prepared) -> str:
    """What the coach should know of a clip that can be shown all the same."""
    if made.cut_short:
        return CUT_SHORT
    return DAMAGED if made.missing_frames else ""


def _throttled(lease: Lease) -> Callable[[float], None]:
    """Writes a fraction to the row, not more often than a page asks for it."""
    written_at = 0.0

    def on_progress(fraction: float) -> None:
        nonlocal written_at
        now = time.monotonic()
        if now - written_at >= PROGRESS_EVERY_S:
            written_at = now
            lease.extend(progress_permille=min(999, int(fraction * 1000)))

    return on_progress


def _sha256(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
