"""How well swings are found: clips of one to six swings, in rising noise and without sound.

`python -m tests.benchmarks.swings [clips [set]]` prints one line a figure:
`figure NAME VALUE UNIT bar RELATION LIMIT`, and ends with 1 if a bar is missed. Two sets: one that
was looked at while the search was tuned, and one (`held_out`) of other people, scenes and sounds
that was not. One clip's picture is used with all its sounds. Beside each: librosa's onset
detector on the same sounds, which knows nothing of pictures, taken at the threshold that suits it
best on those very clips.

A strike counts as found within 0.1 s, a swing by motion within 0.25 s.
"""

from __future__ import annotations

import multiprocessing
import os
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

# each process works on clips of its own; more threads inside only get in each other's way
for library in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "NUMBA_NUM_THREADS"):
    os.environ.setdefault(library, "1")

from media_tools import motion, sound, swings  # noqa: E402
from tests.benchmarks.swing_onsets import Rival, onset_figures, rival_onsets  # noqa: E402
from tests.benchmarks.swing_pictures import TrueSwing, arrange, disturbed, draw_swinger  # noqa: E402
from tests.benchmarks.swing_sounds import BaySound, heard_s  # noqa: E402

# seed, first swinger, number of clips
SETS = {"tuned": (1, 1, 200), "held_out": (4, 501, 100)}
SWINGERS = 16
LEVELS_DB = (24, 18, 14, 10)
RIVAL_LEVELS_DB = (18, 14)
FRAME_US = 1e6 / 60
STRIKE_WITHIN_US, SWING_WITHIN_US = 100_000, 250_000


@dataclass
class Tally:
    """Counts over clips, and errors in microseconds."""

    true_strikes: int = 0
    found_strikes: int = 0
    right_strikes: int = 0
    true_swings: int = 0
    found_swings: int = 0
    right_swings: int = 0
    true_practice: int = 0
    found_practice: int = 0
    right_practice: int = 0
    strike_us: list[int] = field(default_factory=list)
    seen_strike_us: list[int] = field(default_factory=list)
    top_us: list[int] = field(default_factory=list)
    begin_us: list[int] = field(default_factory=list)
    finish_us: list[int] = field(default_factory=list)

    def add(self, other: Tally) -> None:
        for name, value in vars(other).items():
            setattr(self, name, getattr(self, name) + value)


def paired(found: Sequence[int], true: Sequence[int], within: int) -> list[tuple[int, int]]:
    """Pairs of indices, nearest first; each is used once."""
    every = sorted((abs(f - t), i, j) for i, f in enumerate(found) for j, t in enumerate(true))
    pairs: list[tuple[int, int]] = []
    for apart, i, j in every:
        if apart <= within and all(i != a and j != b for a, b in pairs):
            pairs.append((i, j))
    return pairs


def judged(found: list[swings.FoundSwing], true: Sequence[TrueSwing]) -> Tally:
    tally = Tally(true_swings=len(true), found_swings=len(found))
    heard = [f.strike_us for f in found if f.by == "sound and motion" and f.strike_us is not None]
    hit = [t.strike_us for t in true if not t.is_practice]
    tally.true_strikes, tally.found_strikes = len(hit), len(heard)
    for i, j in paired(heard, hit, STRIKE_WITHIN_US):
        tally.right_strikes += 1
        tally.strike_us.append(heard[i] - hit[j])
    tops = [f.top_us or f.begin_us for f in found]
    for i, j in paired(tops, [t.top_us for t in true], SWING_WITHIN_US):
        tally.right_swings += 1
        one, other = found[i], true[j]
        tally.top_us.append(tops[i] - other.top_us)
        tally.begin_us.append(one.begin_us - other.begin_us)
        tally.finish_us.append(one.finish_us - other.finish_us)
        if one.by == "motion" and one.strike_us is not None:
            tally.seen_strike_us.append(one.strike_us - other.strike_us)
        tally.right_practice += one.is_practice and other.is_practice
    tally.true_practice = sum(t.is_practice for t in true)
    tally.found_practice = sum(f.is_practice for f in found)
    return tally


@dataclass
class Result:
    """Of some clips: a tally for each level of noise (0: without sound), and the rival's onsets."""

    tallies: dict[int, Tally]
    rivals: dict[int, list[Rival]]
    clips: int = 0
    seconds: float = 0.0
    motion_s: float = 0.0
    find_s: float = 0.0


def of_swinger(job: tuple[int, int, int, int]) -> Result:
    """All clips of one person of a set."""
    seed, first, person, clips = job
    levels = (*LEVELS_DB, 0)
    result = Result({db: Tally() for db in levels}, {db: [] for db in RIVAL_LEVELS_DB})
    who = draw_swinger(first + person)
    for number in range(person, clips, SWINGERS):
        dice = np.random.default_rng([seed, number])
        step = 2 if number % 4 == 3 else 1
        scene = arrange(who, dice, 1 + number % 6, step)
        rate = 60 / step
        frames = list(disturbed(scene, dice, rate))
        begun = time.process_time()
        energy, shift = motion.measure(frames)
        result.motion_s += time.process_time() - begun
        times = np.round(np.arange(len(frames)) / rate * 1e6).astype(np.int64)
        moved = motion.Motion(times, energy, shift)
        length_s = len(frames) / rate
        result.clips, result.seconds = result.clips + 1, result.seconds + length_s
        dice = np.random.default_rng([seed, number, 5])
        distance_m = dice.uniform(1, 6)
        edit_s = dice.choice([-1, 1]) * dice.uniform(0.05, 0.12) if dice.random() < 0.1 else 0.0
        hits = [s for s in scene.swings if not s.is_practice]
        heard = [heard_s(s.strike_us, distance_m, edit_s) for s in hits]
        bay = BaySound(dice, length_s, heard)
        for db in levels:
            level = None
            if db:
                samples = bay.mixed(db)
                level = sound.usable(sound.Sound(0, sound.measure([samples])), sound.RATE_HZ)
                if db in RIVAL_LEVELS_DB:
                    result.rivals[db].append(rival_onsets(samples, sound.RATE_HZ, heard))
            begun = time.process_time()
            found = swings.find(moved, level)
            result.find_s += time.process_time() - begun
            result.tallies[db].add(judged(found, scene.swings))
    return result


def measured(pool: multiprocessing.pool.Pool, seed: int, first: int, clips: int) -> Result:
    jobs = [(seed, first, person, clips) for person in range(min(SWINGERS, clips))]
    whole = Result({db: Tally() for db in (*LEVELS_DB, 0)}, {db: [] for db in RIVAL_LEVELS_DB})
    for part in pool.imap_unordered(of_swinger, jobs):
        for db, tally in part.tallies.items():
            whole.tallies[db].add(tally)
        for db, rivals in part.rivals.items():
            whole.rivals[db] += rivals
        whole.clips, whole.seconds = whole.clips + part.clips, whole.seconds + part.seconds
        whole.motion_s, whole.find_s = whole.motion_s + part.motion_s, whole.find_s + part.find_s
    return whole


class Report:
    """Prints figures; remembers whether a bar was missed."""

    def __init__(self) -> None:
        self.missed = False

    def figure(self, name: str, value: float, unit: str, relation: str, bar: float) -> None:
        print(f"figure {name} {value:.3f} {unit} bar {relation} {bar:g}", flush=True)
        self.missed |= not (value >= bar if relation == ">=" else value <= bar)

    def said(self, name: str, value: float, unit: str) -> None:
        """A figure without a bar."""
        print(f"figure {name} {value:.3f} {unit}", flush=True)


def share(part: int, whole: int) -> float:
    return part / whole if whole else 1.0


def frames_off(errors_us: list[int]) -> float:
    """The median size of errors, in frames at 60 a second."""
    return float(np.median(np.abs(errors_us))) / FRAME_US if errors_us else 0.0


def report(name: str, result: Result, to: Report) -> None:
    to.said(f"{name}_clips", result.clips, "clips")
    to.said(f"{name}_length", result.seconds / 60, "minutes")
    for db in LEVELS_DB:
        tally, label = result.tallies[db], f"{name}_{db}db"
        bar = {24: 0.98, 18: 0.98, 14: 0.90}.get(db, 0.0)
        precision = share(tally.right_strikes, tally.found_strikes)
        to.figure(f"{label}_strike_precision", precision, "share", ">=", bar)
        recall = share(tally.right_strikes, tally.true_strikes)
        to.figure(f"{label}_strike_recall", recall, "share", ">=", bar)
        to.figure(f"{label}_strike_error", frames_off(tally.strike_us), "frames", "<=", 1)
        practice = share(tally.right_practice, tally.found_practice)
        to.said(f"{label}_practice_precision", practice, "share")
        practice = share(tally.right_practice, tally.true_practice)
        to.said(f"{label}_practice_recall", practice, "share")
        if db in RIVAL_LEVELS_DB:
            precision, recall = onset_figures(result.rivals[db], STRIKE_WITHIN_US / 1e6)
            to.said(f"{label}_librosa_strike_precision", precision, "share")
            to.said(f"{label}_librosa_strike_recall", recall, "share")
    for db, label in ((10, f"{name}_10db"), (0, f"{name}_silent")):
        tally = result.tallies[db]
        recall = share(tally.right_swings, tally.true_swings)
        to.figure(f"{label}_swing_recall", recall, "share", ">=", 0.90)
        to.said(f"{label}_swing_precision", share(tally.right_swings, tally.found_swings), "share")
    tally = result.tallies[0]
    to.figure(f"{name}_top_error", frames_off(tally.top_us), "frames", "<=", 2)
    to.said(f"{name}_strike_by_motion_error", frames_off(tally.seen_strike_us), "frames")
    to.said(f"{name}_begin_error", frames_off(tally.begin_us), "frames")
    to.said(f"{name}_finish_error", frames_off(tally.finish_us), "frames")
    to.said(f"{name}_motion_cost", result.motion_s / result.seconds * 1000, "ms_per_s")
    cost = result.find_s / (len(LEVELS_DB) + 1) / result.seconds * 1000
    to.said(f"{name}_find_cost", cost, "ms_per_s")


def main() -> int:
    """Print the figures; 1 if a bar is missed."""
    most = int(sys.argv[1]) if len(sys.argv) > 1 else 10**6
    wanted = sys.argv[2:] or list(SETS)
    to = Report()
    with multiprocessing.Pool(min(2, os.cpu_count() or 1)) as pool:
        for name in wanted:
            seed, first, clips = SETS[name]
            report(name, measured(pool, seed, first, min(clips, most)), to)
    return int(to.missed)


if __name__ == "__main__":
    sys.exit(main())
