"""Strikes in sound, and what is none."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from media_tools import sound
from media_tools.mannequin.sound import transient
from media_tools.sound import RATE_HZ, Samples, Sound
from tests.media_tools.clips import Recipe, make

LEAST_DB = 4.0


def hiss(seconds: float, level: float = 0.003) -> Samples:
    dice = np.random.default_rng(9)
    return (level * dice.standard_normal(round(seconds * RATE_HZ))).astype(np.float32)


def with_strike(samples: Samples, at_s: float, peak: float = 0.5) -> Samples:
    piece = peak * transient(np.random.default_rng(4))
    samples = samples.copy()
    first = round(at_s * RATE_HZ)
    samples[first : first + len(piece)] += piece.astype(np.float32)
    return samples


def heard_s(samples: Samples) -> list[float]:
    found = sound.onsets(Sound(0, sound.measure([samples])), LEAST_DB)
    return [float(t) / 1e6 for t in found.times_us]


@pytest.mark.parametrize("at_s", [0.5, 0.5004, 0.7777])
def test_a_strike_is_heard_where_it_is(at_s: float) -> None:
    assert heard_s(with_strike(hiss(1.5), at_s)) == [pytest.approx(at_s, abs=0.0015)]


def test_a_louder_strike_reaches_a_higher_level() -> None:
    samples = with_strike(with_strike(hiss(2), 0.5, 0.1), 1.2, 0.8)
    found = sound.onsets(Sound(0, sound.measure([samples])), LEAST_DB)
    assert len(found.times_us) == 2
    assert found.level_db[1] - found.level_db[0] == pytest.approx(20 * np.log10(8), abs=3)


def test_steady_noise_has_no_onset() -> None:
    assert heard_s(hiss(5, 0.05)) == []


def test_a_sound_that_swells_is_no_onset() -> None:
    samples = hiss(2, 0.003)
    swell = np.interp(np.arange(len(samples)) / RATE_HZ, [0.8, 0.9, 1.1], [1, 60, 1])
    assert heard_s((samples * swell).astype(np.float32)) == []


def test_a_sound_that_stays_is_no_onset() -> None:
    samples = hiss(2, 0.003)
    samples[RATE_HZ:] *= 50
    assert heard_s(samples) == []


def test_one_pitch_alone_is_no_onset() -> None:
    samples = hiss(1.5)
    time = np.arange(round(0.04 * RATE_HZ)) / RATE_HZ
    samples[RATE_HZ // 2 :][: len(time)] += (
        0.5 * np.sin(2 * np.pi * 4_000 * time) * np.exp(-time / 0.009) * (1 - np.exp(-time / 0.002))
    ).astype(np.float32)
    assert heard_s(samples) == []


def test_pieces_of_any_length_are_measured_alike() -> None:
    samples = hiss(12)
    whole = sound.measure([samples])
    pieces = sound.measure(np.split(samples, [1, 30, 5_000, 481_000]))
    assert pieces.shape == whole.shape
    assert pieces == pytest.approx(whole, abs=1e-3)


def test_no_sound_gives_no_onset() -> None:
    found = sound.onsets(Sound(0, sound.measure([])), LEAST_DB)
    assert len(found.times_us) == 0


def test_full_scale_is_zero_decibels() -> None:
    # a sine of amplitude 1 has a power of one half: 3.01 dB below full scale
    time = np.arange(RATE_HZ) / RATE_HZ
    level = sound.measure([np.sin(2 * np.pi * 4_500 * time).astype(np.float32)])
    assert float(np.median(level[:, 1])) == pytest.approx(-3.01, abs=0.3)


@pytest.mark.parametrize(("rate_hz", "bands"), [(48_000, 4), (44_100, 4), (22_050, 3), (16_000, 2)])
def test_a_slower_recording_has_fewer_bands(rate_hz: int, bands: int) -> None:
    found = sound.usable(Sound(0, sound.measure([hiss(1)])), rate_hz)
    assert found is not None
    assert found.level_db.shape[1] == len(found.bands_hz) == bands


def test_a_telephone_s_sound_is_of_no_use() -> None:
    assert sound.usable(Sound(0, sound.measure([hiss(1)])), 8_000) is None


def test_silence_is_of_no_use() -> None:
    assert sound.usable(Sound(0, sound.measure([np.zeros(RATE_HZ, np.float32)])), 48_000) is None


def test_a_silent_clip_has_no_sound(clip: Callable[[str], Path]) -> None:
    assert sound.read(clip("silent")) is None


NOISE = ("-f", "lavfi", "-i", "anoisesrc=r=48000:a=0.1:seed=1")


def test_sound_that_begins_late_keeps_its_time(tmp_path: Path) -> None:
    path = make(tmp_path / "late.mkv", Recipe("mkv", sound=("-itsoffset", "0.4", *NOISE)))
    found = sound.read(path)
    assert found is not None
    # AAC begins with up to two frames of 1,024 samples that only warm its decoder up
    assert found.start_us == pytest.approx(400_000, abs=45_000)


def test_times_count_from_the_first_frame(tmp_path: Path) -> None:
    options = ("-output_ts_offset", "3.7")
    path = make(tmp_path / "offset.mkv", Recipe("mkv", sound=NOISE, options=options))
    found = sound.read(path)
    assert found is not None
    assert found.start_us == pytest.approx(0, abs=45_000)
    assert len(found.level_db) == pytest.approx(1_600, abs=60)
