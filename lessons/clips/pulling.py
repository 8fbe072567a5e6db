"""Pulling stills: exact frames of the original, all that wait for a clip in one pass."""

from __future__ import annotations

from pathlib import Path

from django.conf import settings
from PIL import Image

from lessons.clips import times, working
from lessons.clips.models import Clip, Still
from media_tools import stills
from media_tools.source import look
from portal.files import local
from portal.work.lease import Lease

QUALITY = 92  # of JPEG: lines and grass show no blocks, at a tenth of PNG's bytes
GIVEN_UP = "This still could not be pulled from the original. Try again in a while."
LOST = "The original of this clip is not in the store any more, so no still can be taken."


def pull_stills(clip: Clip, leases: list[Lease]) -> None:
    """Pull the stills of the leases and settle each."""
    wanted = {still.pk: still for still in Still.objects.filter(pk__in=[x.pk for x in leases])}
    held = [lease for lease in leases if not _given_up(wanted[lease.pk], lease)]
    if not held:
        return
    try:
        table = times.read(clip)
        # The middle of a frame's interval: no rounding of either clock leads to its neighbour
        asked = [
            times.middle(table, times.shown_at(table, wanted[x.pk].time_us), clip.duration_us)
            + clip.offset_us
            for x in held
        ]
        with local.local_copy(clip.original) as original, local.scratch_folder() as folder:
            found = stills.take(original, asked, look(original, working.limits()))
            for lease, taken in zip(held, found, strict=True):
                _keep(taken.image, folder, lease)
    except working.FAULTS as error:
        working.note(error, f"stills of clip {clip.pk}")
        fault = working.fault_of(error, given_up=GIVEN_UP, lost=LOST)
        for lease in held:
            if not working.put_back(wanted[lease.pk], lease, fault):
                lease.settle(Still.State.FAILED, reason=fault.sentence)


def _given_up(still: Still, lease: Lease) -> bool:
    """After the last attempt that took the process with it."""
    return still.attempts > settings.WORK_ATTEMPTS and lease.settle(
        Still.State.FAILED, reason=GIVEN_UP
    )


def _keep(image: Image.Image, folder: Path, lease: Lease) -> None:
    path = folder / f"{lease.pk}.jpg"
    image.save(path, "JPEG", quality=QUALITY, subsampling=0, optimize=True)
    name = local.keep(path, "stills/still.jpg")
    settled = lease.settle(
        Still.State.READY, reason="", picture=name, width_px=image.width, height_px=image.height
    )
    if not settled:
        local.delete_now(name)
