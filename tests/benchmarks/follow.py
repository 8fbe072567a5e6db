"""How exactly patches are followed on mannequin films with known joints, and how fast.

`python -m tests.benchmarks.follow` prints one line a figure:
`figure NAME VALUE UNIT bar RELATION LIMIT`, and ends with 1 if a bar is missed. 1080p, with blur,
noise, 5 % growth, a third of the patch covered once and all of it hidden twice in each clip
(follow_films.py). The films of `HELD_OUT` were never looked at while weights were chosen. Errors
are distances from the joint in frames in which anything of the patch can be seen; a path's only
where it is sure, and there each kind of patch, a plain one too, must keep to the 3 px that sure
promises. Every hiding must be a gap and followed by a place that is right: its box and the true
one overlap by half or more of both (the measure of the PASCAL VOC challenge, Everingham and
others 2010, IJCV 88, 303; from memory), and it is no further off than it says of itself. How many
are within 5 px besides is told without a bar: a head that has turned to the finish since its box
is followed by what has come round, and so less exactly. A plain patch of one shade may be
refused: its frames count as not sure. The two others claim a place in every frame. Times are
those of one processor.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import cv2
import numpy as np
from numpy.typing import NDArray

from media_tools.errors import BlankPatch
from media_tools.follow import SURE, Held, Path, follow
from tests.benchmarks.follow_films import BARRED, PLAIN, Clip, Hiding, clips
from tests.benchmarks.follow_rivals import Places, by_lucas_kanade, by_mil

TUNED = (1, 2, 3, 4, 5, 6)
HELD_OUT = (101, 102, 103, 104, 105, 106)
RIVALS_ON = (101, 102)  # the stock tracker takes a tenth of a second a frame
MEDIAN_PX, P95_PX, MS_A_FRAME = 1.0, 3.0, 3.0
LEAST_HIDDEN = 4  # frames: over three
OVERLAP, NEAR_PX = 0.5, 5.0


@dataclass
class Tally:
    """Errors and hidings over clips."""

    errors: list[NDArray[np.float64]] = field(default_factory=list)
    within: list[NDArray[np.bool_]] = field(default_factory=list)
    seen: int = 0
    refused: int = 0
    hidings: int = 0
    reported: int = 0
    again_s: list[float] = field(default_factory=list)
    near_s: list[float] = field(default_factory=list)
    ms: list[float] = field(default_factory=list)

    def count(self, clip: Clip, path: Path, ms: float) -> None:
        off = distances(clip, path)
        sure = path.found & (path.confidence >= SURE) & ~clip.hidden
        self.errors.append(off[sure][1:])
        claimed = path.found & ~clip.hidden
        self.within.append((off <= path.error_px)[claimed][1:])
        self.seen += int((~clip.hidden).sum())
        self.ms.append(ms)
        is_right = (clip.overlap(path) >= OVERLAP) & (off <= path.error_px)
        for hiding in clip.hidings:
            if hiding.is_whole and hiding.last - hiding.first + 1 >= LEAST_HIDDEN:
                self.hidings += 1
                self.reported += is_reported(path, hiding)
                self.again_s.append(again_s(clip, path.found & is_right, hiding))
                self.near_s.append(again_s(clip, path.found & (off <= NEAR_PX), hiding))

    def refuse(self, clip: Clip) -> None:
        """A plain one with nothing to know it by: nothing is claimed of any of its frames."""
        self.seen += int((~clip.hidden).sum())
        self.refused += 1

    @property
    def all(self) -> NDArray[np.float64]:
        return np.concatenate(self.errors)


def distances(clip: Clip, path: Path) -> NDArray[np.float64]:
    return np.hypot(path.x_px - clip.truth[:, 0], path.y_px - clip.truth[:, 1])


def is_reported(path: Path, hiding: Hiding) -> bool:
    """No place is claimed while it is hidden."""
    return not path.found[hiding.first : hiding.last + 1].any()


def again_s(clip: Clip, is_there: NDArray[np.bool_], hiding: Hiding) -> float:
    """After how many seconds it is there; NaN if not before the next hiding."""
    begins = [h.first for h in clip.hidings if h.is_whole and h.first > hiding.last]
    after = slice(hiding.last + 1, min(begins, default=len(is_there)))
    there = np.flatnonzero(is_there[after])
    return float((there[0] + 1) / clip.hz) if len(there) else float("nan")


def followed(clip: Clip) -> tuple[Path, float]:
    """The path, and milliseconds of one processor a frame; without decoding the film."""
    times = np.arange(len(clip.pictures), dtype=np.int64) * 16_667
    frames = Held(times, clip.pictures)
    begun = time.process_time()
    path = follow(frames, [clip.box])
    return path, (time.process_time() - begun) / (len(clip.pictures) - 1) * 1e3


def figure(name: str, value: float, unit: str, relation: str = ">=", bar: float = 0) -> bool:
    """Print a line; says whether the bar is missed."""
    print(f"figure {name} {value:.3f} {unit} bar {relation} {bar:g}", flush=True)
    return value > bar if relation == "<=" else value < bar


def measure(name: str, seeds: Sequence[int]) -> bool:
    """Print the figures of some films; says whether a bar is missed."""
    tallies: dict[str, Tally] = {}
    rivals: dict[str, list[NDArray[np.float64]]] = {"mil": [], "lucas_kanade": []}
    ms: dict[str, list[float]] = {rival: [] for rival in rivals}
    for seed in seeds:
        for clip in clips(seed, BARRED | PLAIN):
            tally = tallies.setdefault(clip.name, Tally())
            try:
                tally.count(clip, *followed(clip))
            except BlankPatch:
                if clip.name in BARRED:
                    raise
                tally.refuse(clip)
            if seed in RIVALS_ON and clip.name in BARRED:
                for rival, work in (("mil", by_mil), ("lucas_kanade", by_lucas_kanade)):
                    errors, took = compared(clip, work)
                    rivals[rival].append(errors)
                    ms[rival].append(took)
    missed = False
    for patch, tally in tallies.items():
        errors = tally.all
        figure(f"follow_{name}_{patch}_median", float(np.median(errors)), "px")
        p95 = float(np.percentile(errors, 95))
        missed |= figure(f"follow_{name}_{patch}_p95", p95, "px", "<=", P95_PX)
        figure(f"follow_{name}_{patch}_sure", len(errors) / tally.seen, "of_frames_seen")
        figure(f"follow_{name}_{patch}_refused", tally.refused, "clips")
        within = float(np.concatenate(tally.within).mean())
        figure(f"follow_{name}_{patch}_within_error", within, "of_frames_found")
    missed |= judged(name, [tallies[patch] for patch in BARRED])
    for rival, found in rivals.items():
        if found:
            together = np.concatenate(found)
            figure(f"{rival}_{name}_median", float(np.nanmedian(together)), "px")
            figure(f"{rival}_{name}_p95", float(np.nanpercentile(together, 95)), "px")
            figure(f"{rival}_{name}_time", float(np.median(ms[rival])), "ms_a_frame")
    return missed


def judged(name: str, tallies: Sequence[Tally]) -> bool:
    """The figures with a bar, over all patches; says whether one is missed."""
    errors = np.concatenate([tally.all for tally in tallies])
    hidings = sum(tally.hidings for tally in tallies)
    reported = sum(tally.reported for tally in tallies)
    seconds = np.concatenate([tally.again_s for tally in tallies])
    near = np.concatenate([tally.near_s for tally in tallies])
    again, exactly = (int(np.isfinite(found).sum()) for found in (seconds, near))
    figure(f"follow_{name}_found_again_within_5px", exactly, f"of_{hidings}")
    figure(f"follow_{name}_found_again_median", float(np.nanmedian(seconds)), "s")
    figure(f"follow_{name}_found_again_slowest", float(np.nanmax(seconds)), "s")
    took = float(np.median(np.concatenate([tally.ms for tally in tallies])))
    figure(f"follow_{name}_sure", len(errors) / sum(t.seen for t in tallies), "of_frames_seen")
    return any(
        [
            figure(f"follow_{name}_median", float(np.median(errors)), "px", "<=", MEDIAN_PX),
            figure(f"follow_{name}_p95", float(np.percentile(errors, 95)), "px", "<=", P95_PX),
            figure(f"follow_{name}_hidings_reported", reported, f"of_{hidings}", ">=", hidings),
            figure(f"follow_{name}_found_again", again, f"of_{hidings}", ">=", hidings),
            figure(f"follow_{name}_time", took, "ms_a_frame", "<=", MS_A_FRAME),
        ]
    )


def compared(clip: Clip, work: Callable[[Clip], Places]) -> tuple[NDArray[np.float64], float]:
    """Errors of another follower where the patch can be seen, and milliseconds a frame."""
    begun = time.process_time()
    places = work(clip)
    took = (time.process_time() - begun) / (len(clip.pictures) - 1) * 1e3
    return np.hypot(*(places - clip.truth).T)[~clip.hidden], took


def main() -> int:
    """Print the figures; 1 if a bar is missed."""
    cv2.setNumThreads(1)
    missed = measure("tuned", TUNED)
    missed |= measure("held_out", HELD_OUT)
    return int(missed)


if __name__ == "__main__":
    sys.exit(main())
