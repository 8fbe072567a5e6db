"""Making cuts: all that wait for a clip, one after the other, from one copy of its original."""

from __future__ import annotations

from contextlib import ExitStack
from pathlib import Path

from django.db import transaction

from lessons.clips import cuts, times, working
from lessons.clips.models import Clip, Cut
from lessons.clips.working import LeaseLost
from media_tools import prepare as media
from media_tools.source import Source, look
from portal.files import local
from portal.work.lease import Lease, claimed

MOST_CUTS = 5  # in one go, so that other clips get their turn
GIVEN_UP = "This part could not be made ready to step through. Try again in a while."
LOST = "The original of this clip is not in the store any more, so no frame can be taken from it."


def make_cuts(clip: Clip, pk: int) -> None:
    """Make one cut of the clip and then others that wait, as far as they are free."""
    waiting = clip.cuts.filter(state=Cut.WAITING).exclude(pk=pk).order_by("pk")
    fetched: tuple[Path, Source] | None = None
    with ExitStack() as stack:
        for each in [pk, *waiting.values_list("pk", flat=True)[: MOST_CUTS - 1]]:
            with claimed(Cut, each) as lease:
                if lease is None:
                    continue
                cut = Cut.objects.get(pk=each)
                if working.is_spent(cut, lease, GIVEN_UP):
                    continue
                with working.outcomes(cut, lease, given_up=GIVEN_UP, lost=LOST):
                    if fetched is None:
                        path = stack.enter_context(local.local_copy(clip.original))
                        fetched = path, look(path, working.limits())
                    _make(cut, *fetched, lease)


def _make(cut: Cut, original: Path, source: Source, lease: Lease) -> None:
    """Make the study rendition of one cut, put it in place, settle the row."""
    progress = working.begin(lease)
    with local.scratch_folder() as folder:
        made = media.study(
            original,
            source,
            cut.begin_us,
            cut.end_us,
            folder,
            on_progress=progress.on_progress,
            should_stop=progress.should_stop,
        )
        times_path = folder / "times.json"
        times.write(made.times_us.tolist(), times_path)
        with local.taken_back() as placed:
            for path, name in ((made.file, "clips/study.mp4"), (times_path, "clips/times.json")):
                placed.append(local.keep(path, name))
            with transaction.atomic():
                settled = lease.settle(
                    Cut.State.READY,
                    reason="",
                    may_pass_later=False,
                    progress_permille=1000,
                    begin_us=int(made.times_us[0]),
                    offset_us=made.offset_us,
                    missing_frames=made.missing_frames,
                    study=placed[0],
                    times=placed[1],
                )
                if settled:
                    cut.refresh_from_db()
                    cuts.drop_superseded(cut)
            if not settled:
                raise LeaseLost
