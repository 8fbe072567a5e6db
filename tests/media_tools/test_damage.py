"""Damaged and hostile files: no crash, no hang, nothing outside its folder, little memory."""

from __future__ import annotations

import hashlib
import json
import random
import struct
import subprocess
import sys
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from media_tools import errors
from media_tools.endings import ends_early
from media_tools.prepare import first, study
from media_tools.source import look
from media_tools.stills import take
from tests.media_tools.clips import Recipe, frame_times_us, make, numbers, run_wheel
from tests.media_tools.recipes import RECIPES

Clip = Callable[[str], Path]
KINDS = (
    *("h264", "hevc-variable", "few-keys", "mkv", "webm"),
    *("avi", "mts", "old-phone", "fragmented", "turned-90"),
)
EACH = 10
LONGEST_S = 45.0  # of one file: looking, three runs of 20 s at most, with a margin below the sum
GIB_IN_KIB = 1 << 20
PREPARED = {
    *("first/watch.mp4", "first/motion.mp4", "first/poster.jpg", "first/strip.jpg"),
    *("first/peaks.json", "cut/study.mp4"),
}


def damaged(data: bytes, dice: random.Random) -> bytes:
    """Bytes flipped, blanked, put in, taken out or cut off; often where the index stands."""
    changed = bytearray(data)
    near_an_end = dice.random() < 0.4
    low, high = (
        (0, min(1500, len(data))) if dice.random() < 0.5 else (len(data) * 4 // 5, len(data))
    )
    low, high = (low, high) if near_an_end else (0, len(data))
    for _ in range(dice.choice((1, 3, 20))):
        at = dice.randrange(low, high)
        way = dice.randrange(5)
        if way <= 1:
            changed[at % len(changed)] ^= 1 << dice.randrange(8)
        elif way == 2:
            changed[at : at + dice.randrange(1, 300)] = bytes(dice.randrange(1, 300))
        elif way == 3:
            changed[at:at] = dice.randbytes(dice.randrange(1, 40))
        elif len(changed) > 200 and dice.random() < 0.5:
            del changed[max(100, at) :]
    return bytes(changed)


def test_a_hundred_damaged_files_do_no_harm(tmp_path: Path) -> None:
    dice, sources, out = random.Random(2609), tmp_path / "sources", tmp_path / "out"
    sources.mkdir()
    for kind in KINDS:
        size = RECIPES[kind].size if kind == "old-phone" else (96, 64)
        recipe = replace(RECIPES[kind], frames=12, size=size)
        plain = make(tmp_path / f"{kind}.{recipe.ending}", recipe).read_bytes()
        for number in range(EACH):
            path = sources / f"{kind}-{number}.{recipe.ending}"
            path.write_bytes(damaged(plain, dice))
    sums = {p: hashlib.sha256(p.read_bytes()).digest() for p in sources.iterdir()}
    before = {p for p in tmp_path.rglob("*") if p.is_file()}

    done = subprocess.run(
        [sys.executable, "-m", "tests.media_tools.fuzz", str(sources), str(out)],
        capture_output=True,
        timeout=600,
        check=False,
    )

    assert done.returncode == 0, done.stderr.decode()[-2000:]
    *told, last = [json.loads(line) for line in done.stdout.splitlines()]
    assert len(told) == len(KINDS) * EACH == 100
    assert max(entry["seconds"] for entry in told) < LONGEST_S
    assert last["most_kib"] < GIB_IN_KIB
    assert {p: hashlib.sha256(p.read_bytes()).digest() for p in sources.iterdir()} == sums
    wanted = set(before)
    for entry in told:
        made = {str(p.relative_to(out / entry["file"])) for p in (out / entry["file"]).rglob("*.*")}
        wanted |= {out / entry["file"] / name for name in made}
        assert made <= PREPARED
        if entry["came"] == "prepared":
            assert made == PREPARED
    assert {p for p in tmp_path.rglob("*") if p.is_file()} == wanted
    came = Counter(entry["came"] for entry in told)
    assert came["prepared"] >= 20  # what can be shown is shown
    assert sum(came.values()) - came["prepared"] >= 20
    assert set(came) - {"prepared"} <= set(dir(errors)), came
    assert came["ToolFailed"] == came["TimedOut"] == 0  # those say that the file is not at fault


def jpeg_sizes(data: bytes) -> list[int]:
    """Where each JPEG picture of a file says its height and width (ITU-T T.81, SOF0)."""
    places, at = [], -1
    while (at := data.find(b"\xff\xc0\x00\x11\x08", at + 1)) >= 0:
        places.append(at + 5)
    return places


@pytest.fixture
def bomb(tmp_path: Path) -> Callable[[int], Path]:
    """A small film of which the pictures after the first few claim 20,000 by 20,000 pixels."""

    def build(first: int) -> Path:
        codec = ("-c:v", "mjpeg", "-q:v", "3")
        path = make(tmp_path / "bomb.avi", Recipe("avi", 6, codec=codec, sound=()))
        data = bytearray(path.read_bytes())
        places = jpeg_sizes(bytes(data))
        assert len(places) == 6
        for place in places[first:]:
            struct.pack_into(">HH", data, place, 20_000, 20_000)
        path.write_bytes(data)
        return path

    return build


def test_a_picture_that_claims_to_be_huge_is_refused(bomb: Callable[[int], Path]) -> None:
    with pytest.raises(errors.Unreadable, match="picture"):
        look(bomb(0))


def test_huge_pictures_after_the_first_are_left_out(
    bomb: Callable[[int], Path], tmp_path: Path
) -> None:
    path = bomb(4)
    source = look(path)
    made = first(path, source, tmp_path / "first")
    assert made.missing_frames == 2
    assert numbers(made.watch) == [0, 1, 2, 3]
    cut = study(path, source, 0, 200_000, tmp_path / "cut")
    assert (numbers(cut.file), cut.missing_frames) == ([0, 1, 2, 3], 2)
    last = take(path, [source.start_us + 199_000], source)[0]
    assert last.time_us == source.times_us[3]


def test_a_recording_that_changes_its_size_is_shown_all_the_same(tmp_path: Path) -> None:
    """A browser's recording does so when the phone is turned."""
    parts = [
        make(tmp_path / f"{width_px}.mts", Recipe("mts", 30, size=(width_px, 180), sound=()))
        for width_px in (320, 240)
    ]
    later = tmp_path / "later.mts"
    run_wheel("-i", str(parts[1]), "-c", "copy", "-output_ts_offset", "1.2", str(later))
    path = tmp_path / "both.mts"
    path.write_bytes(parts[0].read_bytes() + later.read_bytes())
    source = look(path)
    made = first(path, source, tmp_path / "first")
    shown = [*range(30), *range(30)]
    assert numbers(made.watch) == shown
    assert (made.times_us + made.offset_us).tolist() == frame_times_us(path)
    cut = study(path, source, 0, source.duration_us, tmp_path / "cut")
    assert numbers(cut.file) == shown


def test_the_head_of_a_file_is_not_believed_about_its_length(clip: Clip, tmp_path: Path) -> None:
    for name, kind in (("mkv", "matroska"), ("webm", "matroska"), ("avi", "avi")):
        data = clip(name).read_bytes()
        path = tmp_path / name
        for count, cut_off in ((len(data), False), (len(data) - 50, True), (60, True)):
            path.write_bytes(data[:count])
            assert ends_early(path, kind) == cut_off
        for count in (0, 1, 5, 8, 30):
            path.write_bytes(data[:count])
            ends_early(path, kind)
    live = tmp_path / "live.webm"  # written without going back to its head
    live.write_bytes(run_wheel("-i", str(clip("webm")), "-c", "copy", "-f", "webm", "pipe:1"))
    assert not ends_early(live, "matroska")
    assert look(live).frame_count == 48
