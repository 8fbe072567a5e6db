"""The one module that starts subprocesses: which ffmpeg is used, and how it runs.

Every run is a process group of its own with a time limit, a memory limit and a limit on the
size of each file it writes; it is killed whole at the time limit, when it is no longer wanted,
and (on Linux) at once when the Python process that started it dies, even by `kill -9`.
"""

from __future__ import annotations

import contextlib
import functools
import os
import re
import selectors
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

import imageio_ffmpeg

from media_tools.errors import NoRoom, Stopped, TimedOut, ToolFailed

OVERRIDE = "CARRYOVER_FFMPEG"
NEEDED_ENCODERS = ("libx264", "aac", "mjpeg")
NEEDED_FILTERS = (
    *("zscale", "tonemap", "drawtext", "xstack", "tile", "fps", "select", "split"),
    *("scale", "transpose", "metadata", "sidedata", "setparams", "tpad", "aresample"),
)
OLDEST = (5, 1)  # the first release with -fps_mode

GIB = 1 << 30
MEMORY_BYTES = 4 * GIB  # of address space; a 1080p run with two encoders maps about 1 GiB
FILE_BYTES = 32 * GIB

_LAUNCH = str(Path(__file__).with_name("_launch.py"))
_TICK_S = 0.25
_PRINTED_TIME = re.compile(rb"^frame:\d+ .*\bpts_time:(-?\d+(?:\.\d+)?)")  # `metadata=print`
_TAIL_BYTES = 8192

_FAILED = (
    "This video could not be prepared. Nothing is lost: try again, and if it fails a second "
    "time, tell the person who runs this site."
)
NO_ROOM = (
    "There is no room left on this site's disk, so the video could not be prepared. "
    "Nothing is lost: tell the person who runs this site, and try again later."
)
_TOO_SLOW = (
    "This video took too long to prepare, so the work was stopped. Trim it to the swings that "
    "matter and upload it again."
)


@dataclass(frozen=True)
class Tool:
    """An ffmpeg program and what it lacks of what is needed here (nothing: an empty tuple)."""

    path: str
    version: str
    origin: str  # 'PATH', 'imageio-ffmpeg' or 'CARRYOVER_FFMPEG'
    missing: tuple[str, ...]


def find_ffmpeg() -> Tool:
    """The ffmpeg to use.

    The one that the environment variable CARRYOVER_FFMPEG names; else the one on PATH if it has
    all that is needed; else the one that the imageio-ffmpeg wheel carries. The answer is kept
    per environment. Raises ToolFailed where there is none at all.
    """
    return _find(os.environ.get(OVERRIDE, ""), os.environ.get("PATH", ""))


@functools.lru_cache(maxsize=8)
def _find(override: str, search_path: str) -> Tool:
    if override:
        return _examine(override, OVERRIDE)
    found: list[Tool] = []
    on_path = shutil.which("ffmpeg", path=search_path)
    if on_path:
        found.append(_examine(on_path, "PATH"))
        if not found[0].missing:
            return found[0]
    with contextlib.suppress(RuntimeError):  # a platform for which the wheel carries none
        found.append(_examine(imageio_ffmpeg.get_ffmpeg_exe(), "imageio-ffmpeg"))
    if not found:
        raise ToolFailed(_FAILED, "no ffmpeg on PATH, and none in the imageio-ffmpeg package")
    return min(found, key=lambda tool: len(tool.missing))


def _examine(path: str, origin: str) -> Tool:
    try:
        version_text = _ask(path, "-version")
        encoders = _names(_ask(path, "-encoders"))
        filters = _names(_ask(path, "-filters"))
    except (OSError, subprocess.SubprocessError) as error:
        return Tool(path, "", origin, (f"a program that runs ({error})",))
    match = re.search(r"version n?(\S+)", version_text)
    version = match[1] if match else "unknown"
    missing = [f"encoder {name}" for name in NEEDED_ENCODERS if name not in encoders]
    missing += [f"filter {name}" for name in NEEDED_FILTERS if name not in filters]
    numbers = re.match(r"(\d+)\.(\d+)", version)  # builds from a snapshot carry no number
    if numbers and (int(numbers[1]), int(numbers[2])) < OLDEST:
        missing.append("version 5.1 or newer")
    return Tool(path, version, origin, tuple(missing))


def _ask(path: str, question: str) -> str:
    answer = subprocess.run(
        [path, "-hide_banner", question],
        capture_output=True,
        stdin=subprocess.DEVNULL,
        timeout=30,
        check=True,
    )
    return answer.stdout.decode("utf-8", "replace")


def _names(listing: str) -> set[str]:
    # ' V....D libx264  words' and ' T.C tile  V->V words': flags, then the name
    return {parts[1] for line in listing.splitlines() if len(parts := line.split()) > 2}


def run(
    args: Sequence[str],
    *,
    length_us: int = 0,
    on_progress: Callable[[float], None] | None = None,
    timeout_s: float,
    should_stop: Callable[[], bool] | None = None,
    memory_bytes: int = MEMORY_BYTES,
    file_bytes: int = FILE_BYTES,
) -> str:
    """Run ffmpeg with `args` (without the program's name); return the tail of its stderr.

    `on_progress` gets a fraction from 0.0 to 1.0, never smaller than the one before, of
    `length_us` (the length of what is written, in microseconds): from ffmpeg's own reports, or
    from the frames of which a filter `metadata=print` tells at pipe:1. `should_stop` is asked a
    few times a second. Raises ToolFailed, NoRoom, TimedOut or Stopped; whatever way the run
    ends, no process of it is left.
    """
    process = _start(
        ["-nostdin", "-nostats", "-progress", "pipe:1", *args], memory_bytes, file_bytes
    )
    reader = _Reader(length_us, on_progress)
    deadline = time.monotonic() + timeout_s
    try:
        _follow(process, reader, deadline, timeout_s, should_stop)
        _check(_code(process, deadline), reader.tail())
    finally:
        _end(process)
    if on_progress and length_us:
        on_progress(1.0)
    return reader.tail()


def pipe(
    args: Sequence[str],
    data: bytes,
    *,
    timeout_s: float,
    memory_bytes: int = MEMORY_BYTES,
) -> bytes:
    """Run ffmpeg with `data` as its standard input; return what it writes to standard output."""
    process = _start(args, memory_bytes, FILE_BYTES, stdin=subprocess.PIPE)
    try:
        out, err = process.communicate(data, timeout=timeout_s)
        _check(process.returncode, err.decode("utf-8", "replace")[-_TAIL_BYTES:])
    except subprocess.TimeoutExpired as error:
        raise TimedOut(_TOO_SLOW, f"ffmpeg passed its limit of {timeout_s:g} s") from error
    finally:
        _end(process)
    return bytes(out)


def _start(
    args: Sequence[str], memory_bytes: int, file_bytes: int, stdin: int = subprocess.DEVNULL
) -> subprocess.Popen[bytes]:
    tool = find_ffmpeg()
    if tool.missing:
        raise ToolFailed(_FAILED, f"{tool.path} lacks {', '.join(tool.missing)}")
    limits = [str(os.getpid()), str(memory_bytes), str(file_bytes)]
    quiet = ["-hide_banner", "-loglevel", "warning"]
    return subprocess.Popen(
        [sys.executable, "-I", "-S", _LAUNCH, *limits, tool.path, *quiet, *args],
        stdin=stdin,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        start_new_session=True,
    )


class _Reader:
    """Takes the lines of `-progress` and of filters that print; keeps the tail of stderr."""

    def __init__(self, length_us: int, on_progress: Callable[[float], None] | None) -> None:
        self._length_us = length_us
        self._on_progress = on_progress
        self._fraction = 0.0
        self._first_s: float | None = None
        self._rest = b""
        self._tail = b""

    def take_progress(self, data: bytes) -> None:
        *lines, self._rest = (self._rest + data).split(b"\n")
        for line in lines:
            name, _, value = line.partition(b"=")
            if name == b"out_time_us" and value.strip().isdigit():
                self._report(int(value))
            elif printed := _PRINTED_TIME.search(line):
                at_s = float(printed[1])
                self._first_s = at_s if self._first_s is None else self._first_s
                self._report(round((at_s - self._first_s) * 1_000_000))

    def _report(self, out_us: int) -> None:
        if not self._on_progress or not self._length_us:
            return
        fraction = min(1.0, out_us / self._length_us)
        if fraction > self._fraction:
            self._fraction = fraction
            self._on_progress(fraction)

    def take_words(self, data: bytes) -> None:
        self._tail = (self._tail + data)[-_TAIL_BYTES:]

    def tail(self) -> str:
        return self._tail.decode("utf-8", "replace").strip()


def _follow(
    process: subprocess.Popen[bytes],
    reader: _Reader,
    deadline: float,
    timeout_s: float,
    should_stop: Callable[[], bool] | None,
) -> None:
    """Read both pipes to their end, looking at the clock and at `should_stop` meanwhile."""
    if not (process.stdout and process.stderr):
        raise ValueError("both pipes are needed")
    asked = -_TICK_S
    with selectors.DefaultSelector() as selector:
        selector.register(process.stdout, selectors.EVENT_READ, reader.take_progress)
        selector.register(process.stderr, selectors.EVENT_READ, reader.take_words)
        while selector.get_map():
            for key, _ in selector.select(_TICK_S):
                data = os.read(key.fd, 65536)
                if data:
                    key.data(data)
                else:
                    selector.unregister(key.fileobj)
            now = time.monotonic()
            if now > deadline:
                raise TimedOut(
                    _TOO_SLOW, f"ffmpeg passed its limit of {timeout_s:g} s: {reader.tail()}"
                )
            if should_stop and now - asked >= _TICK_S:
                asked = now
                if should_stop():
                    raise Stopped("The work on this video was stopped.", "asked to stop")


def _code(process: subprocess.Popen[bytes], deadline: float) -> int:
    try:
        return process.wait(max(1.0, deadline - time.monotonic()))
    except subprocess.TimeoutExpired as error:
        raise TimedOut(_TOO_SLOW, "ffmpeg closed its output and did not end") from error


def _check(code: int, tail: str) -> None:
    # It may end with 0 all the same: what it could not write as it closed a file is a warning
    if "No space left on device" in tail or "Disk quota exceeded" in tail:
        raise NoRoom(NO_ROOM, tail)
    if code == 0:
        return
    raise ToolFailed(_FAILED, f"ffmpeg ended with {code}: {tail}")


def _end(process: subprocess.Popen[bytes]) -> None:
    """Kill the whole group, if it still runs, and close its pipes."""
    if process.poll() is None:  # not reaped yet, so its number can't be another process's
        with contextlib.suppress(ProcessLookupError):
            os.killpg(process.pid, signal.SIGKILL)
        process.wait()
    for stream in (process.stdin, process.stdout, process.stderr):
        if stream:
            with contextlib.suppress(OSError):
                stream.close()
