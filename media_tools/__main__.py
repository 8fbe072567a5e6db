"""`python -m media_tools look|prepare|swings|stills FILE`: the same work from a command line.

Answers with JSON on standard output. Exit codes: 0 done, 2 wrong use, 3 refused or failed, with
the sentence for the uploader on standard error.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Sequence
from dataclasses import asdict, fields
from fractions import Fraction
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import numpy as np

from media_tools import motion, sound
from media_tools.errors import MediaError
from media_tools.prepare import First, StudyCut, first, study
from media_tools.source import Source, look
from media_tools.stills import take
from media_tools.swings import STRETCHED, find, tempo

DONE, WRONG_USE, REFUSED = 0, 2, 3


def main(arguments: Sequence[str] | None = None) -> int:
    """Do what the command line says; return the exit code."""
    options = _parser().parse_args(arguments)
    path: Path = options.file
    for begin_us, end_us in getattr(options, "study", []):
        if end_us < begin_us:
            print("A study cut can't end before it begins.", file=sys.stderr)
            return WRONG_USE
    if not path.is_file():
        print(f"There is no file {path}.", file=sys.stderr)
        return WRONG_USE
    try:
        source = look(path)
        answer: dict[str, Any] = options.work(path, source, options)
    except MediaError as error:
        print(error.sentence, file=sys.stderr)
        if error.detail and options.verbose:
            print(error.detail, file=sys.stderr)
        return REFUSED
    print(json.dumps(answer, indent=2, default=_plain))
    return DONE


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="python -m media_tools",
        description="Look at a video, make what a player needs from it, take exact stills.",
        epilog="Times are in seconds on the command line, in microseconds in the answer.",
    )
    commands = parser.add_subparsers(required=True, metavar="COMMAND")

    looking = commands.add_parser("look", help="say what a file is")
    looking.add_argument("--times", action="store_true", help="with the time of every frame")
    looking.set_defaults(work=_look)

    preparing = commands.add_parser(
        "prepare",
        help="make what a clip is watched with, and study cuts of it",
        description="Make watch rendition, poster, scrub strip, sound peaks and motion picture; "
        "with --study, also a cut with every frame between two times, as often as given, in the "
        "folders cut-1, cut-2 and so on.",
    )
    preparing.add_argument("--out", type=Path, required=True, metavar="FOLDER")
    preparing.add_argument(
        "--study",
        type=_seconds,
        nargs=2,
        action="append",
        default=[],
        metavar=("BEGIN", "END"),
        help="in seconds from the first frame",
    )
    preparing.add_argument("--times", action="store_true", help="with the time of every frame")
    preparing.add_argument("--threads", type=int, default=0, help="0: one for each core")
    preparing.set_defaults(work=_prepare)

    swings = commands.add_parser("swings", help="find the golf swings and their tempo")
    swings.add_argument(
        "--motion",
        type=Path,
        metavar="FILE",
        help="the motion picture that `prepare` made of the same file; without it one is made",
    )
    swings.add_argument(
        "--rate",
        type=_rate,
        default=1.0,
        metavar="TIMES",
        help="how much slower than real it plays: 8 for 240 frames a second stored as 30",
    )
    swings.set_defaults(work=_swings)

    stills = commands.add_parser("stills", help="take the frames shown at given times")
    stills.add_argument(
        "--at",
        type=_seconds,
        action="append",
        required=True,
        metavar="SECONDS",
        help="from the first frame; give it as often as wanted",
    )
    stills.add_argument("--out", type=Path, required=True, metavar="FOLDER")
    stills.set_defaults(work=_stills)

    for command in (looking, preparing, swings, stills):
        command.add_argument("file", type=Path, metavar="FILE")
        command.add_argument("--verbose", action="store_true", help="say the cause of an error")
    return parser


def _look(path: Path, source: Source, options: argparse.Namespace) -> dict[str, Any]:
    answer = _fields(source, options.times)
    answer["orientation"] = {"rotation_deg": source.rotation_deg, "mirrored": source.mirrored}
    return {**answer, "is_hdr": source.is_hdr, "frame_count": source.frame_count}


def _prepare(path: Path, source: Source, options: argparse.Namespace) -> dict[str, Any]:
    def show(fraction: float) -> None:
        print(f"\r{fraction:4.0%}", end="", file=sys.stderr, flush=True)

    on_progress = show if sys.stderr.isatty() else None
    made = first(path, source, options.out, on_progress=on_progress, threads=options.threads)
    cuts = [
        study(
            *(path, source, begin_us, end_us, options.out / f"cut-{number}"),
            on_progress=on_progress,
            threads=options.threads,
        )
        for number, (begin_us, end_us) in enumerate(options.study, start=1)
    ]
    return {
        "first": _fields(made, options.times),
        "cuts": [_fields(cut, options.times) for cut in cuts],
    }


def _swings(path: Path, source: Source, options: argparse.Namespace) -> dict[str, Any]:
    if options.motion is not None:
        moved = motion.read(options.motion)
    else:
        with TemporaryDirectory() as folder:
            moved = motion.read(first(path, source, Path(folder)).motion)
    heard = sound.read(path, source)
    answer = []
    for found in find(moved, heard, rate=options.rate):
        timed = tempo(found, moved.frame_us, rate=options.rate)
        answer.append({**asdict(found), "tempo": None if timed is None else asdict(timed)})
    return {"usable_sound": heard is not None and options.rate < STRETCHED, "swings": answer}


def _rate(text: str) -> float:
    value = float(text)
    if not value > 0:
        raise argparse.ArgumentTypeError("a clip plays more than 0 times as long as it was")
    return value


def _stills(path: Path, source: Source, options: argparse.Namespace) -> dict[str, Any]:
    options.out.mkdir(parents=True, exist_ok=True)
    times_us = [source.start_us + t_us for t_us in options.at]
    answer = []
    for still in take(path, times_us, source):
        file = options.out / f"still-{still.time_us}.png"
        still.image.save(file)
        answer.append({"asked_us": still.asked_us, "time_us": still.time_us, "file": file})
    return {"stills": answer}


def _fields(value: Source | First | StudyCut, with_times: bool) -> dict[str, Any]:
    """The fields of an answer, its long tables only where they are wanted."""
    return {
        item.name: getattr(value, item.name)
        for item in fields(value)
        if with_times or item.name not in {"times_us", "key_times_us"}
    }


def _seconds(text: str) -> int:
    value = Fraction(text)
    if value < 0:
        raise argparse.ArgumentTypeError("a time is at least 0")
    return round(value * 1_000_000)


def _plain(value: object) -> object:
    if isinstance(value, np.ndarray):
        return value.tolist()
    if hasattr(value, "__dataclass_fields__"):
        return asdict(value)  # type: ignore[call-overload]
    return str(value)


if __name__ == "__main__":
    sys.exit(main())
