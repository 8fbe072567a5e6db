"""The tempo of a swing and its plus-or-minus."""

from __future__ import annotations

import numpy as np
import pytest

from media_tools.swings import FoundSwing, tempo

FRAME_60_US = 1e6 / 60


def swing(back_s: float, down_s: float, rate: float = 1.0) -> FoundSwing:
    begin = 1_000_000
    top = begin + round(back_s * rate * 1e6)
    strike = top + round(down_s * rate * 1e6)
    return FoundSwing(begin, top, strike, strike + 600_000, "motion", False, 0.9)


@pytest.mark.parametrize(("back", "down"), [(27, 9), (24, 8), (21, 7)])
def test_three_to_one_is_three(back: int, down: int) -> None:
    # common practice, no source: '3 to 1' counted in frames at 30 a second
    found = tempo(swing(back / 30, down / 30), FRAME_60_US)
    assert found is not None
    assert found.ratio == pytest.approx(3.0, abs=1e-4)
    assert found.downswing_s == pytest.approx(down / 30, abs=1e-6)


def test_the_laboratory_s_mean_durations_give_their_ratio() -> None:
    # 731 +-21 ms and 258 +-8 ms: Grober and Cholewicki 2006, arXiv physics/0611291 (at second
    # hand); professionals there lie between 2.5 and 3.5
    found = tempo(swing(0.731, 0.258), FRAME_60_US)
    assert found is not None
    assert found.ratio == pytest.approx(731 / 258, abs=1e-4)
    assert 2.5 <= found.ratio <= 3.5


@pytest.mark.parametrize("ratio", [3.00, 3.43, 4.12])
def test_the_plus_or_minus_is_that_of_a_random_frame(ratio: float) -> None:
    # quartiles and median of 758 real-time clips: computed from the event labels of GolfDB
    # (McNally et al., CVPR Workshops 2019, arXiv 1903.06528)
    down, frame = 0.25, 1 / 240
    found = tempo(swing(ratio * down, down), frame * 1e6)
    assert found is not None
    dice = np.random.default_rng(5)
    a, t, s = dice.normal([[0.0], [ratio * down], [(1 + ratio) * down]], frame, (3, 200_000))
    assert found.ratio_pm == pytest.approx(float(np.std((t - a) / (s - t))), rel=0.02)
    assert found.backswing_pm_s == pytest.approx(float(np.std(t - a)), rel=0.02)
    assert found.downswing_pm_s == pytest.approx(float(np.std(s - t)), rel=0.02)


def test_a_stretched_clip_is_told_in_real_seconds() -> None:
    plain = tempo(swing(0.8, 0.25), 1e6 / 240)
    stretched = tempo(swing(0.8, 0.25, rate=8), 1e6 / 30, rate=8)
    assert plain is not None
    assert stretched is not None
    assert stretched.backswing_s == pytest.approx(0.8)
    assert stretched.downswing_s == pytest.approx(0.25)
    assert stretched.ratio_pm == pytest.approx(plain.ratio_pm, rel=1e-3)


def test_without_a_strike_or_a_top_there_is_no_tempo() -> None:
    begin, end = 0, 2_000_000
    assert tempo(FoundSwing(begin, 800_000, None, end, "motion", True, 0.9), 16_667) is None
    assert tempo(FoundSwing(begin, None, 1_000_000, end, "motion", False, 0.9), 16_667) is None
    assert tempo(FoundSwing(begin, 900_000, 800_000, end, "motion", False, 0.9), 16_667) is None


@pytest.mark.parametrize(("frame_us", "rate"), [(0.0, 1.0), (16_667.0, 0.0), (-1.0, 1.0)])
def test_it_refuses_a_rate_or_a_frame_of_nothing(frame_us: float, rate: float) -> None:
    with pytest.raises(ValueError, match="more than 0"):
        tempo(swing(0.8, 0.25), frame_us, rate=rate)
