"""Motion in grey pictures: what moves is told, the camera's movement and the light are not."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from media_tools import motion
from media_tools.errors import Unreadable
from media_tools.motion import Grey
from media_tools.prepare import first
from media_tools.source import look

DICE = np.random.default_rng(3)


def scenery(count: int, speed: float = 0.0) -> list[Grey]:
    """Soft waves that the camera passes by, so many pixels a frame to the right."""
    y, x = np.mgrid[:90, :160].astype(float)
    frames = []
    for k in range(count):
        seen = x - speed * k
        picture = 120 + 40 * np.sin(seen / 7) + 30 * np.cos(y / 9 + seen / 23)
        frames.append(picture.round().astype(np.uint8))
    return frames


def test_a_still_picture_does_not_move() -> None:
    energy, shift = motion.measure(scenery(5))
    assert energy.shape == (5, 9, 16)
    assert float(energy.max()) == 0.0
    assert np.abs(shift).max() == 0.0


def test_only_the_cells_that_move_have_energy() -> None:
    frames = scenery(6)
    for k, frame in enumerate(frames):
        frame[42:48, 62 + k : 68 + k] = 255
    energy, _ = motion.measure(frames)
    moved = energy[1:].max(axis=0)
    assert moved[4, 6] > 10
    moved[3:6, 5:8] = 0
    assert float(moved.max()) < 1


def test_a_camera_that_turns_is_taken_out() -> None:
    still = motion.measure(scenery(6))[0]
    energy, shift = motion.measure(scenery(6, speed=0.4))
    assert shift[1:, 0] == pytest.approx(0.4, abs=0.02)
    assert shift[1:, 1] == pytest.approx(0.0, abs=0.02)
    assert float(np.median(energy[1:])) < float(np.median(still[1:])) + 1


def test_light_that_changes_is_taken_out() -> None:
    frames = [(f * (1 - 0.03 * k)).astype(np.uint8) for k, f in enumerate(scenery(6))]
    energy, _ = motion.measure(frames)
    assert float(energy.max()) < 2


def test_more_frames_than_fit_in_memory_at_once_are_measured_alike() -> None:
    frames = [DICE.integers(0, 255, (90, 50), dtype=np.uint8) for _ in range(150)]
    whole, _ = motion.measure(iter(frames))
    part, _ = motion.measure(frames[100:130])
    assert whole.shape == (150, 9, 5)
    assert whole[101:130] == pytest.approx(part[1:], rel=1e-2)


def test_no_frames_give_no_motion() -> None:
    energy, shift = motion.measure([])
    assert len(energy) == len(shift) == 0


def test_a_motion_picture_is_read_with_its_true_times(
    clip: Callable[[str], Path], tmp_path: Path
) -> None:
    path = clip("h264-variable")
    source = look(path)
    made = first(path, source, tmp_path)
    found = motion.read(made.motion)
    assert found.times_us == pytest.approx(made.times_us, abs=1)
    assert len(found.energy) == len(found.times_us)
    assert found.frame_us == pytest.approx(float(np.median(np.diff(made.times_us))), abs=2)


def test_a_damaged_motion_picture_is_told(tmp_path: Path) -> None:
    path = tmp_path / "motion.mp4"
    path.write_bytes(b"\0\0\0\x18ftypisom" + bytes(300))
    with pytest.raises(Unreadable):
        motion.read(path)
