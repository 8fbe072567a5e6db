"""`python -m media_tools swings FILE`, on a film as a phone would record it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from media_tools.__main__ import main
from media_tools.mannequin import Film, SwingSpec, TimedSwing, Truth, film


@pytest.fixture(scope="module")
def recording(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Truth]:
    """One swing before a phone 3.5 m away."""
    path = tmp_path_factory.mktemp("films") / "swing.mp4"
    made = film(
        Film(
            swings=(TimedSwing(0.6, SwingSpec(0.75, 0.25)),),
            size_px=(320, 180),
            fps=30,
            mic_distance_m=3.5,
            preset="ultrafast",
        ),
        path,
    )
    return path, made


def test_it_finds_a_swing_in_a_recording(
    recording: tuple[Path, Truth], capsys: pytest.CaptureFixture[str]
) -> None:
    path, truth = recording
    assert main(["swings", str(path)]) == 0
    said = json.loads(capsys.readouterr().out)
    assert said["usable_sound"]
    (found,) = said["swings"]
    (true,) = truth.swings
    frame_us = 1e6 / 30
    assert found["by"] == "sound and motion"
    assert found["strike_us"] == pytest.approx(true.strike_us, abs=3_000)
    assert found["top_us"] == pytest.approx(true.positions_us["P4"], abs=2 * frame_us)
    assert found["begin_us"] == pytest.approx(true.begin_us, abs=4 * frame_us)
    assert found["finish_us"] == pytest.approx(true.end_us, abs=6 * frame_us)
    assert abs(found["tempo"]["ratio"] - true.tempo) < found["tempo"]["ratio_pm"]


def test_a_stretched_clip_s_sound_is_not_used(
    recording: tuple[Path, Truth], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["swings", str(recording[0]), "--rate", "8"]) == 0
    said = json.loads(capsys.readouterr().out)
    assert said == {"usable_sound": False, "swings": []}  # at an eighth there is no swing in it


@pytest.mark.parametrize("rate", ["0", "-1", "slow", "nan"])
def test_a_rate_of_nothing_is_wrong_use(rate: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as caught:
        main(["swings", "clip.mp4", f"--rate={rate}"])
    assert caught.value.code == 2
    assert "--rate" in capsys.readouterr().err
