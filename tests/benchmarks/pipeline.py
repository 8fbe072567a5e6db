"""What the two steps cost: against ffmpeg from a shell, against the length, and in memory.

`python -m tests.benchmarks.pipeline` prints one line a figure:
`figure NAME VALUE UNIT bar RELATION LIMIT`, and ends with 1 if a bar is missed. `--minutes`
scales the long recording down. Times are wall times, and beside them those of all cores together
(`cpu`), which a busy machine moves less; a ratio is between medians of alternating runs, so that
a machine that slows down slows both. The commands of a shell run with the same politeness
(`nice`) as ours. The film is the mannequin's with a camera's grain, at the bit rate of a phone,
repeated: 1080p, 30 frames a second, H.264 and AAC.
"""

from __future__ import annotations

import argparse
import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from typing import NamedTuple

import numpy as np

from media_tools import ffmpeg
from media_tools.mannequin import Film, TimedSwing, film
from media_tools.prepare import first, study
from media_tools.source import Source, look
from tests.media_tools.clips import run_wheel

ROUNDS = 5
CLIP_S, SEGMENT_S = 20, 5
SWING_EVERY_S, SWING_S = 120, 4  # ten in twenty minutes
LENGTHS_S = (5, 20, 60, 240)
WHOLE_PART_S = 120  # of the long recording, encoded whole at study quality and multiplied
GIB_KIB = 1 << 20
ENCODE = (
    *("-c:v", "libx264", "-crf", "23", "-pix_fmt", "yuv420p", "-g", "12", "-keyint_min", "12"),
    *("-sc_threshold", "0", "-movflags", "+faststart"),
)
# as the two steps encode: what is compared is the way, not the settings
WATCH = (*ENCODE, "-preset", "superfast", "-x264-params", "mbtree=1:rc-lookahead=10:bframes=0")
SCALE = "scale=1280:720:flags=bilinear"
STUDY = (*ENCODE, "-preset", "veryfast")
SOUND = ("-c:a", "aac", "-b:a", "128k")


def make_films(folder: Path, lengths_s: Sequence[int]) -> dict[int, Path]:
    """Films of some lengths in seconds, by length."""
    drawn, segment = folder / "drawn.mp4", folder / "segment.mp4"
    film(Film(swings=(TimedSwing(0.8),), size_px=(1920, 1080), fps=30, duration_s=5.0), drawn)
    rate = ("-b:v", "14M", "-maxrate", "18M", "-bufsize", "20M")
    run_wheel(
        *("-i", str(drawn), "-vf", "noise=alls=7:allf=t", "-c:v", "libx264"),
        *("-preset", "superfast", *rate, "-bf", "0", "-g", "30", *SOUND, str(segment)),
    )
    films = {}
    for length_s in lengths_s:
        films[length_s] = folder / f"film-{length_s}.mp4"
        again = ("-stream_loop", str(max(0, length_s // SEGMENT_S - 1)))
        run_wheel(*again, "-i", str(segment), "-c", "copy", str(films[length_s]))
    return films


def shell(*args: str) -> None:
    """One command as a skilled person would type it."""
    command = ["nice", "-n", "10", ffmpeg.find_ffmpeg().path, "-v", "error", "-y", *args]
    subprocess.run(command, check=True, stdin=subprocess.DEVNULL)


def bare_encode(path: Path, out: Path) -> None:
    shell("-i", str(path), "-vf", SCALE, *WATCH, *SOUND, str(out / "w.mp4"))


def separate_commands(path: Path, out: Path) -> None:
    """Watch rendition, poster, strip, samples for the peaks and motion picture, one by one."""
    given, seconds = ("-i", str(path)), look(path).duration_us / 1e6
    bare_encode(path, out)
    shell(
        "-ss",
        f"{seconds / 3}",
        *given,
        "-vf",
        "scale=1280:720",
        "-frames:v",
        "1",
        str(out / "p.jpg"),
    )
    strip = f"fps={24 / seconds},scale=160:90,tile=24x1"
    shell(*given, "-an", "-vf", strip, "-frames:v", "1", str(out / "s.jpg"))
    shell(*given, "-vn", "-ac", "1", "-ar", "16000", "-f", "s16le", str(out / "a.raw"))
    grey = ("-c:v", "libx264", "-preset", "ultrafast", "-crf", "12")
    small = "scale=160:90:flags=area,format=gray"
    shell(*given, "-an", "-vf", small, *grey, str(out / "m.mp4"))


def step_one(path: Path, out: Path) -> None:
    """As the site does it, the look included."""
    first(path, look(path), out)


class Cost(NamedTuple):
    """Seconds of a clock on the wall, and of all cores together; these a busy machine spares."""

    wall: float
    cpu: float


def cpu_seconds() -> float:
    used = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    return sum(one.ru_utime + one.ru_stime for one in used)


def cost_of(work: Callable[[], None]) -> Cost:
    begun, used = time.perf_counter(), cpu_seconds()
    work()
    return Cost(time.perf_counter() - begun, cpu_seconds() - used)


def interleaved(path: Path, out: Path, *works: Callable[[Path, Path], None]) -> list[Cost]:
    """Median cost of each work, over alternating rounds."""
    taken: list[list[Cost]] = [[] for _ in works]
    for _ in range(ROUNDS):
        for row, work in zip(taken, works, strict=True):
            row.append(cost_of(partial(work, path, out)))
    return [Cost(*(statistics.median(kind) for kind in zip(*row, strict=True))) for row in taken]


class Memory:
    """Runs a work in a process of its own and says the most memory it and its ffmpeg held."""

    def __init__(self, path: Path, out: Path) -> None:
        code = (
            "import resource as r, sys; from pathlib import Path; "
            "from tests.benchmarks.pipeline import step_one; "
            "step_one(Path(sys.argv[1]), Path(sys.argv[2])); "
            "print(*(r.getrusage(w).ru_maxrss for w in (r.RUSAGE_SELF, r.RUSAGE_CHILDREN)))"
        )
        said = subprocess.run(
            [sys.executable, "-c", code, str(path), str(out)], capture_output=True, check=True
        ).stdout
        self.worker_kib, self.ffmpeg_kib = (int(word) for word in said.split())


class Report:
    """Prints figures and remembers whether a bar was missed."""

    def __init__(self) -> None:
        self.missed = False

    def tell(self, name: str, value: float, unit: str, most: float | None = None) -> None:
        bar = "" if most is None else f" bar <= {most}"
        print(f"figure {name} {value:.3f} {unit}{bar}", flush=True)
        self.missed |= most is not None and value > most


def against_a_shell(report: Report, path: Path, out: Path) -> None:
    ours, theirs, bare = interleaved(path, out, step_one, separate_commands, bare_encode)
    report.tell("first_step_20s", ours.wall, "s")
    report.tell("first_vs_separate_commands", ours.wall / theirs.wall, "ratio", 0.75)
    report.tell("first_vs_separate_commands_cpu", ours.cpu / theirs.cpu, "ratio")
    report.tell("first_vs_bare_encode", ours.wall / bare.wall, "ratio", 1.10)
    report.tell("first_vs_bare_encode_cpu", ours.cpu / bare.cpu, "ratio")


def against_length(report: Report, films: dict[int, Path], out: Path) -> None:
    costs = [cost_of(partial(step_one, films[length_s], out)) for length_s in LENGTHS_S]
    for kind in Cost._fields:
        taken = [getattr(cost, kind) for cost in costs]
        slope, intercept = np.polyfit(LENGTHS_S, taken, 1)
        for length_s, seconds in zip(LENGTHS_S, taken, strict=True):
            report.tell(f"first_step_{length_s}s_{kind}", seconds, "s")
        report.tell(f"first_step_slope_{kind}", float(slope), "s/s")
        report.tell(f"first_step_intercept_{kind}", float(intercept), "s")


def long_recording(report: Report, path: Path, part: Path, whole_s: int, out: Path) -> None:
    """Everything of a long recording with ten swings against encoding all of it."""

    def encode_part() -> None:
        shell("-i", str(part), *STUDY, *SOUND, str(out / "whole.mp4"))

    def cut(source: Source, number: int) -> None:
        begin_us = (number * SWING_EVERY_S + SWING_EVERY_S // 2) * 1_000_000
        study(path, source, begin_us, begin_us + SWING_S * 1_000_000, out)

    # a part before and a part after: the machine may have become slower meanwhile
    parts = [cost_of(encode_part)]
    memories: list[Memory] = []
    begun = cost_of(lambda: memories.append(Memory(path, out)))
    source = look(path)
    cuts = [
        cost_of(partial(cut, source, number)) for number in range(max(1, whole_s // SWING_EVERY_S))
    ]
    parts.append(cost_of(encode_part))

    part_s = min(WHOLE_PART_S, whole_s)
    ours = [begun, *cuts]
    whole = [sum(kind) / 2 * whole_s / part_s for kind in zip(*parts, strict=True)]
    report.tell("long_first_step", begun.wall, "s")
    report.tell("long_study_cuts", sum(cost.wall for cost in cuts), "s")
    report.tell("long_last_cut_against_first", cuts[-1].wall / cuts[0].wall, "ratio")
    report.tell("long_encoding_all_of_it", whole[0], f"s_from_{part_s}_s")
    everything = [sum(kind) for kind in zip(*ours, strict=True)]
    report.tell("long_all_vs_encoding_all", everything[0] / whole[0], "ratio", 0.5)
    report.tell("long_all_vs_encoding_all_cpu", everything[1] / whole[1], "ratio")
    report.tell("long_worker_memory", memories[0].worker_kib / GIB_KIB, "GiB", 1.0)
    report.tell("long_ffmpeg_memory", memories[0].ffmpeg_kib / GIB_KIB, "GiB", 1.0)


def main(arguments: Sequence[str] | None = None) -> int:
    """Print the figures; 1 if a bar is missed."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--minutes", type=int, default=20, help="of the long recording")
    parser.add_argument("parts", nargs="*", help="of: shell, length, long (none: all of them)")
    options = parser.parse_args(arguments)
    whole_s, parts = 60 * options.minutes, options.parts or ["shell", "length", "long"]
    report = Report()
    with tempfile.TemporaryDirectory(prefix="pipeline-") as name:
        folder, out = Path(name), Path(name) / "out"
        out.mkdir()
        part_s = min(WHOLE_PART_S, whole_s)
        films = make_films(folder, sorted({*LENGTHS_S, CLIP_S, part_s, whole_s}))
        report.tell("load_before", os.getloadavg()[0], "processes")
        if "shell" in parts:
            against_a_shell(report, films[CLIP_S], out)
        if "length" in parts:
            against_length(report, films, out)
        if "long" in parts:
            long_recording(report, films[whole_s], films[part_s], whole_s, out)
        report.tell("load_after", os.getloadavg()[0], "processes")
    return int(report.missed)


if __name__ == "__main__":
    sys.exit(main())
