"""`python -m media_tools`: JSON out, exit codes, sentences."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image

from media_tools.__main__ import main
from tests.media_tools.clips import read_number

Clip = Callable[[str], Path]


def answer(capsys: pytest.CaptureFixture[str], *arguments: str | Path) -> dict[str, object]:
    assert main([str(argument) for argument in arguments]) == 0
    return dict(json.loads(capsys.readouterr().out))


def test_look_says_what_a_file_is(clip: Clip, capsys: pytest.CaptureFixture[str]) -> None:
    said = answer(capsys, "look", clip("turned-90"))
    assert said["video_codec"] == "h264"
    assert said["orientation"] == {"rotation_deg": 270, "mirrored": False}
    assert (said["frame_count"], said["duration_us"]) == (48, 1_600_000)
    assert "times_us" not in said


def test_look_lists_the_times_if_asked(clip: Clip, capsys: pytest.CaptureFixture[str]) -> None:
    said = answer(capsys, "look", "--times", clip("h264"))
    assert said["times_us"][:3] == [0, 33_333, 66_667]  # type: ignore[index]


def test_prepare_writes_the_files(
    clip: Clip, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    cuts = ("--times", "--study", "0.1", "0.4", "--study", "1.5", "9")
    said = answer(capsys, "prepare", clip("silent"), "--out", tmp_path, *cuts)
    assert said["first"]["watch"] == str(tmp_path / "watch.mp4")  # type: ignore[index]
    first, second = said["cuts"]  # type: ignore[misc]
    assert (first["offset_us"], second["offset_us"]) == (100_000, 1_500_000)
    assert (len(first["times_us"]), len(second["times_us"])) == (10, 3)
    assert {str(path.relative_to(tmp_path)) for path in tmp_path.rglob("*.*")} == {
        *("watch.mp4", "motion.mp4", "poster.jpg", "strip.jpg", "peaks.json"),
        *("cut-1/study.mp4", "cut-2/study.mp4"),
    }


def test_stills_are_counted_from_the_first_frame(
    clip: Clip, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    at = ("--at", "0.5", "--at", "0")
    said = answer(capsys, "stills", clip("late-start"), *at, "--out", tmp_path)
    first, second = said["stills"]  # type: ignore[misc]
    assert (first["time_us"], second["time_us"]) == (4_200_000, 3_700_000)
    with Image.open(first["file"]) as image:
        assert read_number(image) == 15


def test_a_refused_file_gives_its_sentence_and_3(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "letter.mp4"
    path.write_text("Dear coach")
    assert main(["look", str(path)]) == 3
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.startswith("This file is not a video.")
    assert len(said.err.splitlines()) == 1
    assert main(["look", "--verbose", str(path)]) == 3
    assert "begins with" in capsys.readouterr().err


@pytest.mark.parametrize(
    "arguments",
    [
        [],
        ["dance", "x"],
        ["look"],
        ["prepare", "x"],
        ["prepare", "x", "--out", "y", "--study", "1"],
        ["stills", "x", "--out", "y", "--at", "soon"],
        ["stills", "x", "--out", "y", "--at=-1"],
    ],
)
def test_wrong_use_is_told(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as caught:
        main(arguments)
    assert caught.value.code == 2
    assert "usage" in capsys.readouterr().err


def test_a_cut_that_ends_before_it_begins_is_wrong_use(
    clip: Clip, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    study = ("--study", "0.5", "0.4")
    assert main(["prepare", str(clip("h264")), "--out", str(tmp_path), *study]) == 2
    assert "before it begins" in capsys.readouterr().err


def test_a_missing_file_is_wrong_use(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["look", str(tmp_path / "none.mp4")]) == 2
    assert "There is no file" in capsys.readouterr().err


@pytest.mark.parametrize("arguments", [["--help"], ["stills", "--help"]])
def test_it_runs_without_django_and_has_help(arguments: list[str]) -> None:
    environment = {k: v for k, v in os.environ.items() if not k.startswith("DJANGO")}
    done = subprocess.run(
        [sys.executable, "-m", "media_tools", *arguments],
        capture_output=True,
        env=environment,
        check=True,
        timeout=60,
    )
    assert b"usage: python -m media_tools" in done.stdout
