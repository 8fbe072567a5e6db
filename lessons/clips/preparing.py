"""Preparing a clip: from an upload's pieces to what lets it be watched."""

from __future__ import annotations

import hashlib
from pathlib import Path

import numpy as np
from django.db import transaction

from lessons.clips import cuts, swings, times, working
from lessons.clips.models import Clip
from lessons.clips.working import LeaseLost
from media_tools import prepare as media
from media_tools.source import look
from portal.files import local, uploads
from portal.work.lease import Lease

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


def prepare_clip(lease: Lease) -> None:
    """Do all that is left to do for the clip of the lease, and settle it."""
    clip = Clip.objects.select_related("upload").get(pk=lease.pk)
    if working.is_spent(clip, lease, GIVEN_UP):
        return
    with working.outcomes(clip, lease, given_up=GIVEN_UP, lost=LOST):
        _keep_original(clip, lease)
        _make_renditions(clip, lease)


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
    """Look at the original, make what is watched, put it in place, settle the row."""
    with local.local_copy(clip.original) as original, local.scratch_folder() as folder:
        source = look(original, working.limits())
        progress = working.begin(lease)
        made = media.first(
            original,
            source,
            folder,
            on_progress=progress.on_progress,
            should_stop=progress.should_stop,
        )
        times_path = folder / "times.json"
        times.write(made.times_us.tolist(), times_path)
        wanted = {
            "watch": (made.watch, "clips/watch.mp4"),
            "poster": (made.poster, "clips/poster.jpg"),
            "strip": (made.strip, "clips/strip.jpg"),
            "peaks": (made.peaks, "clips/peaks.json"),
            "motion": (made.motion, "clips/motion.mp4"),
            "times": (times_path, "clips/times.json"),
        }
        kept: dict[str, str] = {}
        with local.taken_back() as placed:
            for field, (path, name) in wanted.items():
                kept[field] = local.keep(path, name)
                placed.append(kept[field])
            if not _settle(clip, lease, made, kept):
                raise LeaseLost


def _settle(clip: Clip, lease: Lease, made: media.First, kept: dict[str, str]) -> bool:
    """Write the outcome, and ask for what comes after it: the swings, and what is stepped."""
    with transaction.atomic():
        settled = lease.settle(
            Clip.State.READY,
            reason=_remark(made),
            may_pass_later=False,
            progress_permille=1000,
            strip_count=made.strip_count,
            has_sound=made.has_sound,
            width_px=made.width_px,
            height_px=made.height_px,
            duration_us=made.duration_us,
            frame_us=_usual_frame_us(made),
            offset_us=made.offset_us,
            **kept,
        )
        if settled:
            clip.refresh_from_db()
            cuts.want_cuts(clip)
            swings.look_for_swings(clip)
    return settled


def _usual_frame_us(made: media.First) -> int:
    between = np.diff(made.times_us)
    return round(float(np.median(between))) if len(between) else made.duration_us


def _remark(made: media.First) -> str:
    """What the coach should know of a clip that can be shown all the same."""
    if made.cut_short:
        return CUT_SHORT
    return DAMAGED if made.missing_frames else ""


def _sha256(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
