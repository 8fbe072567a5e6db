"""Which ffmpeg is used, and that no run outlives its limits, its wish or its parent."""

from __future__ import annotations

import os
import signal
import stat
import subprocess
import sys
import time
from pathlib import Path

import pytest

from media_tools import errors, ffmpeg
from tests.media_tools.clips import WHEEL_FFMPEG

ENDLESS = ["-re", "-f", "lavfi", "-i", "testsrc2=s=64x64:r=30", "-f", "null", "-"]
SHORT = ["-f", "lavfi", "-i", "testsrc2=s=640x360:r=60:d=4", "-c:v", "libx264", "-f", "null", "-"]


def script(path: Path, text: str) -> Path:
    path.write_text(f"#!/bin/sh\n{text}\n")
    path.chmod(path.stat().st_mode | stat.S_IXUSR)
    return path


def children() -> set[int]:
    """The ffmpeg processes that this one has started and not seen end."""
    tasks = Path(f"/proc/{os.getpid()}/task")
    started = {pid for t in tasks.iterdir() for pid in (t / "children").read_text().split()}
    # Servers of other tests may be children of this process too
    return {int(pid) for pid in started if b"testsrc" in Path(f"/proc/{pid}/cmdline").read_bytes()}


def test_the_one_on_path_is_used_if_it_has_what_is_needed() -> None:
    tool = ffmpeg.find_ffmpeg()
    assert tool.missing == ()
    assert tool.version[0].isdigit()
    assert tool.origin in {"PATH", "imageio-ffmpeg"}


def test_without_one_on_path_the_wheels_is_used(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", "/nowhere")
    tool = ffmpeg.find_ffmpeg()
    assert (tool.path, tool.origin, tool.missing) == (WHEEL_FFMPEG, "imageio-ffmpeg", ())


def test_one_on_path_that_lacks_something_is_passed_over(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    script(tmp_path / "ffmpeg", "echo 'ffmpeg version 4.4.2-old Copyright'")
    monkeypatch.setenv("PATH", str(tmp_path))
    assert ffmpeg.find_ffmpeg().origin == "imageio-ffmpeg"


def test_the_one_named_by_the_environment_is_examined(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    old = script(tmp_path / "old", "echo 'ffmpeg version 4.4.2-old Copyright'")
    monkeypatch.setenv(ffmpeg.OVERRIDE, str(old))
    tool = ffmpeg.find_ffmpeg()
    assert (tool.path, tool.version, tool.origin) == (str(old), "4.4.2-old", ffmpeg.OVERRIDE)
    assert {"encoder libx264", "filter zscale", "version 5.1 or newer"} <= set(tool.missing)
    with pytest.raises(errors.ToolFailed) as caught:
        ffmpeg.run(SHORT, timeout_s=5)
    assert "zscale" in caught.value.detail


def test_a_named_one_that_does_not_run_is_told_as_missing(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv(ffmpeg.OVERRIDE, str(tmp_path / "none"))
    assert "a program that runs" in ffmpeg.find_ffmpeg().missing[0]
    monkeypatch.setenv(ffmpeg.OVERRIDE, str(script(tmp_path / "bad", "exit 3")))
    assert "a program that runs" in ffmpeg.find_ffmpeg().missing[0]


def test_it_tells_its_progress() -> None:
    seen: list[float] = []
    ffmpeg.run(SHORT, length_us=4_000_000, on_progress=seen.append, timeout_s=60)
    assert seen == sorted(set(seen))
    assert seen[-1] == 1.0


def test_a_failure_keeps_the_tools_last_words() -> None:
    with pytest.raises(errors.ToolFailed) as caught:
        ffmpeg.run(["-i", "file:/nowhere/clip.mp4", "-f", "null", "-"], timeout_s=10)
    assert "No such file" in caught.value.detail
    assert "/nowhere" not in caught.value.sentence


def test_a_full_disk_has_its_own_error() -> None:
    picture = ["-y", "-f", "lavfi", "-i", "testsrc2=s=640x360:d=2"]
    with pytest.raises(errors.NoRoom):
        ffmpeg.run([*picture, "-f", "rawvideo", "file:/dev/full"], timeout_s=20)


def test_a_disk_that_fills_up_as_the_file_is_closed_is_noticed() -> None:
    picture = ["-y", "-f", "lavfi", "-i", "testsrc2=s=16x16:d=0.04"]
    with pytest.raises(errors.NoRoom):
        ffmpeg.run([*picture, "-f", "rawvideo", "file:/dev/full"], timeout_s=20)


def test_it_is_killed_at_its_time_limit() -> None:
    begun = time.monotonic()
    with pytest.raises(errors.TimedOut):
        ffmpeg.run(ENDLESS, timeout_s=0.5)
    assert time.monotonic() - begun < 10
    assert children() == set()


def test_it_is_killed_when_it_is_no_longer_wanted() -> None:
    calls = iter([False, False, True])
    with pytest.raises(errors.Stopped):
        ffmpeg.run(ENDLESS, timeout_s=60, should_stop=lambda: next(calls))
    assert children() == set()


def test_it_is_killed_when_the_listener_to_its_progress_fails() -> None:
    def fail(fraction: float) -> None:
        raise RuntimeError("the database is away")

    with pytest.raises(RuntimeError):
        ffmpeg.run(ENDLESS, length_us=9_000_000, on_progress=fail, timeout_s=60)
    assert children() == set()


@pytest.mark.skipif(sys.platform != "linux", reason="only Linux ties a process to its parent")
def test_killing_the_parent_leaves_no_ffmpeg_behind(tmp_path: Path) -> None:
    out = tmp_path / "endless.nut"
    endless = ["-f", "lavfi", "-i", "testsrc2=s=320x180", "-f", "nut", f"file:{out}"]
    code = f"from media_tools import ffmpeg; ffmpeg.run({endless!r}, timeout_s=120)"
    parent = subprocess.Popen([sys.executable, "-c", code], start_new_session=True)
    try:
        wait_until(lambda: out.exists() and out.stat().st_size > 0)
        (child,) = Path(f"/proc/{parent.pid}/task/{parent.pid}/children").read_text().split()
        assert b"endless.nut" in Path(f"/proc/{child}/cmdline").read_bytes()
    finally:
        parent.send_signal(signal.SIGKILL)
        parent.wait()
    wait_until(lambda: not running(int(child)))


def test_it_cannot_take_more_memory_than_its_limit() -> None:
    large = ["-f", "lavfi", "-i", "testsrc2=s=7680x4320:d=1", "-f", "null", "-"]
    with pytest.raises(errors.ToolFailed):
        ffmpeg.run(large, timeout_s=60, memory_bytes=200 << 20)


def test_it_cannot_write_more_than_its_limit(tmp_path: Path) -> None:
    out = tmp_path / "large.raw"
    raw = ["-f", "lavfi", "-i", "testsrc2=s=640x360:d=2", "-f", "rawvideo", f"file:{out}"]
    with pytest.raises(errors.ToolFailed):
        ffmpeg.run(raw, timeout_s=20, file_bytes=1_000_000)
    assert out.stat().st_size <= 1_000_000


def test_bytes_go_in_and_come_out() -> None:
    grey = ["-f", "rawvideo", "-pix_fmt", "gray", "-s", "4x2", "-i", "pipe:0"]
    flipped = ffmpeg.pipe(
        [*grey, "-vf", "hflip", "-f", "rawvideo", "pipe:1"], bytes(range(8)), timeout_s=10
    )
    assert flipped == bytes([3, 2, 1, 0, 7, 6, 5, 4])


def test_bytes_that_take_too_long_are_given_up() -> None:
    with pytest.raises(errors.TimedOut):
        ffmpeg.pipe(ENDLESS, b"", timeout_s=0.5)
    assert children() == set()


def wait_until(true: object, limit_s: float = 15.0) -> None:
    assert callable(true)
    end = time.monotonic() + limit_s
    while not true():
        assert time.monotonic() < end, "waited in vain"
        time.sleep(0.02)


def running(pid: int) -> bool:
    """The process exists and is no zombie that nobody has collected."""
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except FileNotFoundError:
        return False
