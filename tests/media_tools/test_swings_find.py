"""Swings in the mannequin's footage: found where they are, by what they should be found by."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import pytest
from PIL import Image

from media_tools import motion, sound
from media_tools.mannequin import Film, SwingSpec, SwingTruth, TimedSwing, truth_of
from media_tools.mannequin.frames import draw_array, frame_count
from media_tools.mannequin.sound import RATE, transient
from media_tools.motion import Motion
from media_tools.sound import Samples, Sound
from media_tools.swings import FoundSwing, find, tempo

RATE_HZ = 30
FRAME_US = 1e6 / RATE_HZ
FILM = Film(
    swings=(
        TimedSwing(1.0, SwingSpec(0.8, 0.25)),
        TimedSwing(5.0, SwingSpec(0.7, 0.23, strike=False)),
    ),
    size_px=(160, 90),
    fps=RATE_HZ,
)


@dataclass(frozen=True, eq=False)
class Filmed:
    motion: Motion
    hit: SwingTruth
    practice: SwingTruth
    length_s: float


@pytest.fixture(scope="module")
def filmed() -> Filmed:
    """A swing at a ball and a practice swing."""
    count = frame_count(FILM)
    frames = [
        np.asarray(Image.fromarray(draw_array(FILM, k, 1)).convert("L")) for k in range(count)
    ]
    times = np.round(np.arange(count) * FRAME_US).astype(np.int64)
    hit, practice = truth_of(FILM, ()).swings
    return Filmed(Motion(times, *motion.measure(frames)), hit, practice, count / RATE_HZ)


def recorded(length_s: float, *strikes: tuple[float, float], noise: float = 0.003) -> Sound:
    """A bay's hiss, and strikes at (seconds, peak)."""
    dice = np.random.default_rng(7)
    samples: Samples = (noise * dice.standard_normal(round(length_s * RATE))).astype(np.float32)
    for when, peak in strikes:
        first = round(when * RATE)
        piece = (peak * transient(dice)).astype(np.float32)[: len(samples) - first]
        samples[first : first + len(piece)] += piece
    return Sound(0, sound.measure([samples]))


def seconds(time_us: int | None) -> float:
    assert time_us is not None
    return time_us / 1e6


def strike_of(truth: SwingTruth) -> float:
    return truth.positions_us["P7"] / 1e6


def test_a_strike_is_taken_from_the_sound(filmed: Filmed) -> None:
    at = strike_of(filmed.hit)
    found, _ = find(filmed.motion, recorded(filmed.length_s, (at + 0.010, 0.5)))
    assert found.by == "sound and motion"
    assert not found.is_practice
    assert seconds(found.strike_us) == pytest.approx(at, abs=0.003)
    assert found.confidence > 0.9


def test_begin_top_and_finish_come_from_the_picture(filmed: Filmed) -> None:
    for found, true in zip(find(filmed.motion, None), (filmed.hit, filmed.practice), strict=True):
        times = true.positions_us
        assert found.begin_us == pytest.approx(times["P1"], abs=4 * FRAME_US)
        assert found.top_us == pytest.approx(times["P4"], abs=2 * FRAME_US)
        assert found.strike_us == pytest.approx(times["P7"], abs=2 * FRAME_US)
        assert found.finish_us == pytest.approx(times["P10"], abs=5 * FRAME_US)


def test_without_sound_it_says_so(filmed: Filmed) -> None:
    found = find(filmed.motion, None)
    assert [f.by for f in found] == ["motion", "motion"]
    assert [f.is_practice for f in found] == [False, False]  # nobody can tell


def test_a_swing_without_a_strike_is_a_practice_swing(filmed: Filmed) -> None:
    at = strike_of(filmed.hit)
    found = find(filmed.motion, recorded(filmed.length_s, (at + 0.010, 0.5)))
    assert [f.is_practice for f in found] == [False, True]
    assert found[1].strike_us is None
    assert found[1].by == "motion"


def test_in_loud_noise_it_does_not_claim_to_have_heard_no_strike(filmed: Filmed) -> None:
    found = find(filmed.motion, recorded(filmed.length_s, noise=0.3))
    assert [f.is_practice for f in found] == [False, False]
    assert [f.by for f in found] == ["motion", "motion"]


def test_a_neighbour_s_strike_without_motion_is_not_taken(filmed: Filmed) -> None:
    alone = recorded(filmed.length_s, (strike_of(filmed.hit) + 0.01, 0.5), (0.4, 0.5), (4.2, 0.4))
    found = find(filmed.motion, alone)
    assert len(found) == 2
    assert [f.by for f in found] == ["sound and motion", "motion"]


def test_a_neighbour_s_quieter_strike_does_not_make_a_practice_swing_a_stroke(
    filmed: Filmed,
) -> None:
    bay = recorded(
        filmed.length_s,
        (strike_of(filmed.hit) + 0.01, 0.6),
        (strike_of(filmed.practice) + 0.02, 0.08),
    )
    assert [f.is_practice for f in find(filmed.motion, bay)] == [False, True]


def test_sound_that_an_edit_moved_is_brought_back_to_the_picture(filmed: Filmed) -> None:
    at = strike_of(filmed.hit)
    found, _ = find(filmed.motion, recorded(filmed.length_s, (at + 0.13, 0.5)))
    assert found.by == "sound and motion"
    assert seconds(found.strike_us) == pytest.approx(at, abs=1.5 / RATE_HZ)


def test_sound_that_begins_late_is_laid_where_it_belongs(filmed: Filmed) -> None:
    at = strike_of(filmed.hit)
    late = replace(recorded(filmed.length_s, (at - 0.49, 0.5)), start_us=500_000)
    assert seconds(find(filmed.motion, late)[0].strike_us) == pytest.approx(at, abs=0.003)


def test_a_stretched_clip_is_found_in_played_time(filmed: Filmed) -> None:
    stretched = replace(filmed.motion, times_us=filmed.motion.times_us * 8)
    plain, slow = find(filmed.motion, None), find(stretched, None, rate=8)
    for one, other in zip(plain, slow, strict=True):
        assert seconds(other.top_us) == pytest.approx(8 * seconds(one.top_us), abs=1e-4)
    quick, slowed = tempo(plain[0], FRAME_US), tempo(slow[0], 8 * FRAME_US, rate=8)
    assert quick is not None
    assert slowed is not None
    assert slowed.ratio == pytest.approx(quick.ratio, rel=1e-3)


def test_its_tempo_is_a_skilled_player_s(filmed: Filmed) -> None:
    # quartiles of 1,400 labelled swings 3.00 and 4.12: computed from the event labels of GolfDB
    # (McNally et al., CVPR Workshops 2019, arXiv 1903.06528); the figure swings 0.8 to 0.25 s
    found = tempo(find(filmed.motion, None)[0], FRAME_US)
    assert found is not None
    assert abs(found.ratio - 3.2) < found.ratio_pm
    assert found.backswing_s == pytest.approx(0.8, abs=4 / RATE_HZ)


def test_the_camera_s_clock_may_begin_anywhere(filmed: Filmed) -> None:
    later = replace(filmed.motion, times_us=filmed.motion.times_us + 5_000_000)
    at = strike_of(filmed.hit)
    noise = replace(recorded(filmed.length_s, (at + 0.01, 0.5)), start_us=5_000_000)
    found = find(later, noise)[0]
    assert seconds(found.strike_us) == pytest.approx(at + 5, abs=0.003)
    assert found.begin_us > 5_000_000


def test_someone_who_stands_still_does_not_swing(filmed: Filmed) -> None:
    dice = np.random.default_rng(2)
    still = np.abs(dice.normal(1.0, 0.1, filmed.motion.energy.shape)).astype(np.float16)
    assert find(replace(filmed.motion, energy=still), None) == []


@pytest.mark.parametrize("count", [0, 1, 2, 5])
def test_a_clip_of_a_few_frames_holds_no_swing(filmed: Filmed, count: int) -> None:
    short = Motion(
        filmed.motion.times_us[:count],
        filmed.motion.energy[:count],
        filmed.motion.shift_px[:count],
    )
    assert find(short, recorded(0.2)) == []


def test_a_rate_is_above_zero(filmed: Filmed) -> None:
    with pytest.raises(ValueError, match="above 0"):
        find(filmed.motion, None, rate=0)


def test_found_swings_come_in_order_and_apart(filmed: Filmed) -> None:
    found: list[FoundSwing] = find(filmed.motion, None)
    assert found[0].begin_us < found[0].finish_us < found[1].begin_us < found[1].finish_us
