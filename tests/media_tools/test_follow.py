"""Following a patch: `media_tools.follow`. The moving pictures are scipy's, the truth is known."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest

from media_tools.errors import BlankPatch, Stopped
from media_tools.follow import SURE, Box, Gap, Held, Part, Path, error_px, follow
from tests.media_tools.moving import HEIGHT, SIDE, WIDTH, At, moving, times

COUNT = 40
CHANGED = 0.55  # of the pattern: too much for a look that may be anywhere


def swaying(frame: int) -> At:
    """To the right and back, a little down, by parts of pixels."""
    return At(
        160 + 40 * math.sin(frame / 12) + 0.3 * math.sin(frame), 110 + 15 * math.sin(frame / 9)
    )


def box_at(at: At, frame: int = 0) -> Box:
    return Box(frame, at.x, at.y, SIDE, SIDE)


def off_px(path: Path, way) -> np.ndarray:
    """How far each found place is from the truth; NaN where none is claimed."""
    truth = [way(frame) for frame in range(len(path.times_us))]
    return np.array(
        [math.hypot(x - t.x, y - t.y) for x, y, t in zip(path.x_px, path.y_px, truth, strict=True)]
    )


def covered(frames: Held, first: int, last: int) -> Held:
    """The same with frames `first` to `last` hidden behind something else."""
    other = np.random.default_rng(9).integers(0, 255, (HEIGHT, WIDTH), dtype=np.uint8)
    return Held(
        frames.times_us,
        [other if first <= n <= last else p for n, p in enumerate(frames.pictures)],
    )


def test_it_finds_the_patch_to_parts_of_a_pixel():
    path = follow(moving(swaying, COUNT), [box_at(swaying(0))])
    assert path.found.all()
    assert np.median(off_px(path, swaying)) < 0.2
    assert off_px(path, swaying).max() < 0.7
    assert path.gaps == ()
    assert list(path.times_us) == list(times(COUNT))


def test_it_goes_backwards_too():
    path = follow(moving(swaying, COUNT), [box_at(swaying(COUNT - 1), COUNT - 1)])
    assert path.found.all()
    assert off_px(path, swaying).max() < 0.7


def test_it_follows_both_ways_from_the_middle():
    path = follow(moving(swaying, COUNT), [box_at(swaying(17), 17)])
    assert off_px(path, swaying).max() < 0.7


def test_noise_makes_it_less_exact_and_no_less_found():
    path = follow(moving(swaying, COUNT, noise=18), [box_at(swaying(0))])
    assert path.found.all()
    assert np.median(off_px(path, swaying)) < 0.5


def test_it_follows_what_turns_and_grows():
    def turning(frame: int) -> At:
        return At(160 + 2.3 * math.sin(frame / 5), 120, 1 + 0.004 * frame, 2.5 * frame)

    path = follow(moving(turning, COUNT), [box_at(turning(0))])
    assert off_px(path, turning)[path.found].max() < 1.5
    assert path.found.mean() > 0.95
    assert path.scale[-1] == pytest.approx(1 + 0.004 * (COUNT - 1), abs=0.02)


def test_what_is_hidden_is_a_gap_and_found_again():
    frames = covered(moving(swaying, COUNT), 15, 22)
    path = follow(frames, [box_at(swaying(0))])
    assert path.gaps
    assert not path.found[15:23].any()
    assert np.isnan(path.x_px[15:23]).all()
    assert np.isnan(path.scale[15:23]).all()
    assert path.found[27:].all()
    assert np.nanmax(off_px(path, swaying)) < 1


def test_what_has_changed_while_it_was_hidden_is_found_again_where_it_is_expected():
    """As a head does that goes on turning; further off as little alike is not believed."""

    def changed(frame: int) -> float:
        return 0.0 if frame < 20 else CHANGED

    def still(frame: int) -> At:
        return At(160, 110)

    def elsewhere(frame: int) -> At:
        return At(160, 110) if frame < 20 else At(240, 140)

    paths = {}
    for way in (still, elsewhere):
        frames = covered(moving(way, COUNT, changed=changed), 15, 22)
        paths[way] = follow(frames, [box_at(way(0))])
    assert not paths[still].found[15:23].any()
    assert paths[still].found[24:].all()
    assert off_px(paths[still], still)[24:].max() < 3
    assert not paths[elsewhere].found[15:].any()


def test_nothing_is_claimed_for_what_is_gone():
    frames = covered(moving(swaying, COUNT), 10, COUNT - 1)
    path = follow(frames, [box_at(swaying(0))])
    assert path.gaps[-1] == Gap(10, COUNT - 1)
    assert path.gaps[-1].frames == COUNT - 10


def test_half_covered_it_stays_with_what_is_seen():
    frames = moving(swaying, COUNT)
    for n in range(12, 20):
        at = swaying(n)
        left = round(at.x - SIDE / 2)
        frames.pictures[n][:, left : left + SIDE // 3] = 128
    path = follow(frames, [box_at(swaying(0))])
    assert np.nanmax(off_px(path, swaying)) < 1.5
    assert path.confidence[13:19].mean() < path.confidence[2:10].mean()


def test_where_all_edges_run_one_way_it_is_not_sure():
    """Stripes look the same from anywhere along them: nothing tells whether they have slid."""
    dice = np.random.default_rng(4)
    striped = np.full((HEIGHT, WIDTH), 60.0)
    for row in (80, 96, 112, 128):
        striped[row : row + 8] = 180
    noisy = [striped + dice.normal(0, 10, striped.shape) for _ in range(10)]
    frames = Held(times(10), [np.clip(picture, 0, 255).astype(np.uint8) for picture in noisy])
    path = follow(frames, [box_at(At(160, 110))])
    assert (path.confidence[1:] < SURE).all()
    patterned = follow(moving(lambda frame: At(160, 110), 10, noise=10), [box_at(At(160, 110))])
    assert (patterned.confidence >= SURE).all()


def test_a_correction_is_followed_both_ways():
    def leaping(frame: int) -> At:
        """Gone from one side to the other in a frame: too far to be found again by itself."""
        return At(60, 60) if frame < 20 else At(270, 190)

    frames = moving(leaping, COUNT)
    alone = follow(frames, [box_at(leaping(0))])
    assert not alone.found[20:24].any()
    path = follow(frames, [box_at(leaping(0)), box_at(leaping(30), 30)])
    assert path.found.all()
    assert off_px(path, leaping).max() < 1


def test_the_path_goes_through_a_correction():
    frames = moving(swaying, COUNT)
    moved = Box(20, swaying(20).x + 6, swaying(20).y, SIDE, SIDE)
    path = follow(frames, [box_at(swaying(0)), moved])
    assert path.x_px[20] == moved.x_px
    assert path.x_px[30] == pytest.approx(swaying(30).x + 6, abs=1)
    assert path.x_px[3] == pytest.approx(swaying(3).x, abs=1)
    assert path.confidence[20] == 1


def test_where_two_ways_never_meet_nothing_is_claimed():
    """Two boxes on two things: neither way leads from the one to the other."""
    frames = moving(lambda frame: At(160, 110), COUNT)
    path = follow(frames, [box_at(At(160, 110)), box_at(At(40, 200), 30)])
    assert not path.found[1:30].any()
    assert path.found[[0, 30]].all()


def test_a_later_box_takes_the_place_of_one_at_the_same_frame():
    frames = moving(swaying, 6)
    wrong = Box(0, 40, 40, SIDE, SIDE)
    path = follow(frames, [wrong, box_at(swaying(0))])
    assert off_px(path, swaying).max() < 0.7


def test_the_same_comes_out_twice():
    frames = moving(swaying, 12, noise=10)
    one, two = (follow(frames, [box_at(swaying(4), 4)]) for _ in range(2))
    assert np.array_equal(one.x_px, two.x_px)
    assert np.array_equal(one.confidence, two.confidence)


def test_a_part_is_followed_as_if_it_were_alone():
    frames = moving(swaying, COUNT)
    part = Part(frames, 10, 25)
    path = follow(part, [Box(2, swaying(12).x, swaying(12).y, SIDE, SIDE)])
    assert list(path.times_us) == list(frames.times_us[10:26])
    assert path.x_px[15] == pytest.approx(swaying(25).x, abs=0.7)


def test_it_tells_how_far_it_is():
    told: list[float] = []
    follow(moving(swaying, 12), [box_at(swaying(4), 4)], on_progress=told.append)
    assert len(told) == 11
    assert all(a < b for a, b in pairwise(told))
    assert told[-1] == 1


def test_it_can_be_stopped():
    with pytest.raises(Stopped):
        follow(moving(swaying, 6), [box_at(swaying(0))], should_stop=lambda: True)


def test_it_refuses_a_box_with_nothing_in_it():
    blank = Held(times(3), [np.full((HEIGHT, WIDTH), 90, np.uint8)] * 3)
    with pytest.raises(BlankPatch, match="all of one shade"):
        follow(blank, [box_at(At(100, 100))])


@pytest.mark.parametrize("boxes", [[], [Box(6, 100, 100, 40, 40)], [Box(-1, 100, 100, 40, 40)]])
def test_it_refuses_boxes_that_are_not_there(boxes: list[Box]):
    with pytest.raises(ValueError, match="box"):
        follow(moving(swaying, 6), boxes)


@pytest.mark.parametrize("sides", [(8, 40), (40, 8), (2000, 40), (math.nan, 40)])
def test_a_box_has_sides_that_can_be_followed(sides: tuple[float, float]):
    with pytest.raises(ValueError, match="16 to 1000"):
        Box(0, 10, 10, *sides)


def test_a_box_lies_somewhere():
    with pytest.raises(ValueError, match="finite"):
        Box(0, math.inf, 10, 40, 40)


@pytest.mark.parametrize(("sides", "off"), [((20, 30), 1.0), ((100, 120), 3.0), ((200, 80), 5.0)])
def test_the_plus_or_minus_grows_with_the_patch(sides: tuple[float, float], off: float):
    assert error_px(*sides) == pytest.approx(off)


def test_a_box_at_the_rim_of_the_picture_is_followed():
    def rim(frame: int) -> At:
        return At(20 + frame, 20)

    path = follow(moving(rim, 20), [box_at(rim(0))])
    assert off_px(path, rim)[path.found].max() < 1.5


def test_a_place_says_how_far_off_it_may_be():
    frames = covered(moving(swaying, COUNT, noise=10), 20, 26)
    path = follow(frames, [box_at(swaying(0))])
    assert np.isnan(path.error_px[~path.found]).all()
    assert (path.error_px[path.found] >= error_px(SIDE, SIDE)).all()
    assert path.error_px[0] == error_px(SIDE, SIDE)
    assert (off_px(path, swaying) <= path.error_px)[path.found].mean() >= 0.95
