"""Films as written to a file, judged by Debian's ffprobe, by PyAV and by ear."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest
from PIL import Image

from media_tools.mannequin import (
    Film,
    SwingSpec,
    TimedSwing,
    Truth,
    film,
    read_frame_code,
    swinger,
)
from media_tools.mannequin.sound import NEIGHBOUR_CLEAR_S, RATE, bay_sound

RECORDING = Film(
    swinger=swinger("junior", handed="left"),
    swings=(TimedSwing(0.2, SwingSpec(0.6, 0.25)),),
    size_px=(640, 360),
    fps=60,
    duration_s=1.6,
    frame_code=True,
    crf=28,
    preset="ultrafast",
)


@pytest.fixture(scope="module")
def recording(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Truth]:
    path = tmp_path_factory.mktemp("films") / "swing.mp4"
    return path, film(RECORDING, path)


def ffprobe(path: Path, *args: str) -> dict[str, list[dict[str, str]]]:
    """Debian's own ffprobe, not the library that wrote the file."""
    program = shutil.which("ffprobe")
    if program is None:
        if os.environ.get("CI") == "true":
            pytest.fail("CI needs ffprobe (Debian's package ffmpeg)")
        pytest.skip("no ffprobe on PATH (Debian's package ffmpeg)")
    line = [program, "-v", "error", "-of", "json", *args, str(path)]
    answer: dict[str, list[dict[str, str]]] = json.loads(subprocess.check_output(line))
    return answer


def test_ffprobe_counts_every_frame(recording: tuple[Path, Truth]) -> None:
    path, truth = recording
    video, audio = ffprobe(path, "-count_frames", "-show_streams")["streams"]
    assert int(video["nb_read_frames"]) == len(truth.frame_times_us) == 96
    assert (video["codec_name"], video["pix_fmt"]) == ("h264", "yuv420p")
    assert (video["width"], video["height"]) == truth.size_px
    assert Fraction(video["r_frame_rate"]) == truth.fps == 60
    assert float(video["duration"]) == pytest.approx(1.6, abs=1e-6)
    assert (audio["codec_name"], audio["sample_rate"]) == ("aac", str(RATE))
    assert float(audio["duration"]) == pytest.approx(1.6, abs=0.03)


def test_ffprobe_reads_the_times_of_the_truth(recording: tuple[Path, Truth]) -> None:
    path, truth = recording
    args = ("-select_streams", "v", "-show_entries", "frame=pts_time")
    times = [float(f["pts_time"]) for f in ffprobe(path, *args)["frames"]]
    assert times == pytest.approx([t / 1e6 for t in truth.frame_times_us], abs=1e-6)


@pytest.mark.parametrize("fps", [24, Fraction(30000, 1001), 120, 240])
def test_any_frame_rate_keeps_exact_times(fps: Fraction | int, tmp_path: Path) -> None:
    short = Film(size_px=(320, 180), fps=fps, duration_s=0.25, preset="ultrafast")
    path = tmp_path / "short.mp4"
    film(short, path)
    with av.open(str(path)) as container:
        stream = container.streams.video[0]
        times = [frame.pts * stream.time_base for frame in container.decode(stream)]
    assert times == [Fraction(k) / Fraction(fps) for k in range(len(times))]
    assert len(times) == round(Fraction(fps) / 4)


def test_each_frame_carries_its_number_at_full_and_half_size(
    recording: tuple[Path, Truth],
) -> None:
    path, truth = recording
    with av.open(str(path)) as container:
        for index, frame in enumerate(container.decode(video=0)):
            picture = frame.to_image()
            half = picture.resize((picture.width // 2, picture.height // 2), Image.Resampling.BOX)
            assert read_frame_code(picture) == index
            assert read_frame_code(half) == index
    assert index == len(truth.frame_times_us) - 1


def heard(path: Path) -> np.ndarray:
    """The decoded sound, each sample at its presentation time."""
    with av.open(str(path)) as container:
        stream = container.streams.audio[0]
        sound = np.zeros(int(RATE * 2), dtype=np.float64)
        for frame in container.decode(stream):
            samples = frame.to_ndarray()[0].astype(np.float64)
            first = round(frame.pts * stream.time_base * RATE)
            skip = max(-first, 0)
            sound[first + skip : first + len(samples)] = samples[skip:]
    return sound


def onset_us(sound: np.ndarray) -> float:
    """Where the energy above 1.5 kHz rises most: a plain detector, not the mannequin's own."""
    spectrum = np.fft.rfft(sound)
    spectrum[np.fft.rfftfreq(len(sound), 1 / RATE) < 1500] = 0
    energy = np.fft.irfft(spectrum, n=len(sound)) ** 2
    total = np.concatenate([[0.0], np.cumsum(energy)])
    width = RATE // 1000  # a millisecond after against a millisecond before
    k = np.arange(width, len(sound) - width)
    after, before = total[k + width] - total[k], total[k] - total[k - width]
    return float(k[np.argmax(after - before)] / RATE * 1e6)


def test_the_strike_is_heard_within_a_millisecond(recording: tuple[Path, Truth]) -> None:
    path, truth = recording
    (swing,) = truth.swings
    assert swing.strike_us == 1_050_000
    assert onset_us(heard(path)) == pytest.approx(swing.strike_us, abs=1000)


def test_the_strike_stands_over_the_noise_as_asked() -> None:
    for level in (14.0, 28.0):
        quiet = Film(peak_to_rms_db=level, neighbours=False)
        sound = bay_sound(quiet, 3.0, [1_500_000])[0] / 32767
        rms = np.sqrt(np.mean(sound[: RATE * 14 // 10] ** 2))
        peak = np.abs(sound).max()
        assert 20 * np.log10(peak / rms) == pytest.approx(level, abs=2.5)


def test_the_strike_rises_within_a_millisecond_and_falls_in_forty() -> None:
    still = Film(peak_to_rms_db=80.0, neighbours=False)
    sound = np.abs(bay_sound(still, 1.0, [500_000])[0] / 32767)
    strike = RATE // 2
    peak = sound.max()
    assert sound[:strike].max() < 0.01 * peak
    assert sound[strike : strike + RATE // 1000].max() > 0.9 * peak
    assert sound[strike + RATE * 45 // 1000 :].max() < 0.05 * peak


def test_neighbours_are_quieter_and_keep_away_from_the_strike() -> None:
    found = 0
    for seed in range(8):
        busy = Film(seed=seed, peak_to_rms_db=40.0)
        sound, neighbours = bay_sound(busy, 6.0, [3_000_000])
        loud = np.abs(sound.astype(float))
        own = loud[RATE * 3 : RATE * 3 + 480].max()
        for when in neighbours:
            found += 1
            first = round(when / 1e6 * RATE)
            assert abs(when - 3_000_000) >= NEIGHBOUR_CLEAR_S * 1e6
            assert loud[first : first + 480].max() < 0.4 * own
    assert found > 4


def test_a_practice_swing_makes_no_strike(tmp_path: Path) -> None:
    spec = SwingSpec(0.4, 0.2, strike=False)
    silent = Film(
        size_px=(160, 120), fps=24, swings=(TimedSwing(0.1, spec),), duration_s=1.0,
        neighbours=False, preset="ultrafast",
    )  # fmt: skip
    truth = film(silent, tmp_path / "practice.mp4")
    assert truth.swings[0].strike_us is None
    sound = heard(tmp_path / "practice.mp4")[: RATE * 9 // 10]
    assert np.abs(sound).max() < 8 * np.sqrt(np.mean(sound**2))


def test_the_same_film_is_written_twice_alike(tmp_path: Path) -> None:
    short = Film(size_px=(320, 180), fps=30, duration_s=0.2)
    film(short, tmp_path / "a.mp4")
    film(short, tmp_path / "b.mp4")

    def pictures(path: Path) -> list[bytes]:
        with av.open(str(path)) as container:
            return [f.to_ndarray().tobytes() for f in container.decode(video=0)]

    assert pictures(tmp_path / "a.mp4") == pictures(tmp_path / "b.mp4")


def test_nothing_half_written_is_left_behind(tmp_path: Path) -> None:
    bad = Film(size_px=(320, 180), duration_s=0.1, preset="no such preset")
    with pytest.raises((ValueError, OSError)):
        film(bad, tmp_path / "bad.mp4")
    assert list(tmp_path.iterdir()) == []
