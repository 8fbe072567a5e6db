"""Moments, layout and pictures of swings side by side."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from PIL import Image

from media_tools.beside import Layout, Pause, Shot, Window, compose, layout, shots
from media_tools.beside.cells import BEHIND, GAP_PX, lay
from media_tools.beside.timeline import length_us, shown_us
from tests.media_tools.clips import numbered, read_corners, read_number


def test_a_film_at_full_speed_shows_every_thirtieth_of_a_second():
    film = shots(0, 1_000_000, 1, [])
    assert [shot.clock_us for shot in film] == [round(k * 1e6 / 30) for k in range(31)]
    assert all(shot.frames == 1 and not shot.words for shot in film)


def test_a_quarter_of_the_speed_takes_four_times_as_many_frames():
    assert len(shots(0, 1_000_000, 0.25, [])) == 121
    assert length_us(shots(0, 1_000_000, 0.25, [])) == pytest.approx(4_000_000, abs=34_000)


def test_a_pause_stands_exactly_at_its_moment_for_its_time():
    film = shots(-500_000, 500_000, 0.5, [Pause(7, 2_000_000, "P7 impact")])
    [held] = [shot for shot in film if shot.frames > 1]
    assert held == Shot(7, 60, "P7 impact")
    assert [s.clock_us for s in film] == sorted({s.clock_us for s in film})


def test_a_pause_outside_is_left_out():
    film = shots(0, 100_000, 1, [Pause(-1, 10**6), Pause(100_001, 10**6)])
    assert all(shot.frames == 1 for shot in film)


@pytest.mark.parametrize(("begin", "end", "speed"), [(1, 0, 1), (0, 1, 0), (0, 1, -1)])
def test_it_refuses_a_film_that_can_not_run(begin: int, end: int, speed: float):
    with pytest.raises(ValueError, match="no film"):
        shots(begin, end, speed, [])


def test_it_says_when_a_film_shows_a_moment():
    film = [Shot(0), Shot(10, 60), Shot(20)]
    assert shown_us(film, 10) == 50_000  # the middle of the second frame, at 30 a second
    assert shown_us(film, 15) == round(61.5 * 1e6 / 30)
    assert shown_us(film, 99) == round(61.5 * 1e6 / 30)


def test_upright_swings_stand_side_by_side_and_wide_ones_below_one_another():
    upright = layout(2, (1080, 1920), 960)
    assert (upright.cell, upright.size) == ((540, 960), (1080 + GAP_PX, 960))
    wide = layout(3, (1920, 1080), 960)
    assert (wide.cell, wide.size) == ((960, 540), (960, 3 * 540 + 2 * GAP_PX))


def test_nothing_is_enlarged_and_every_side_is_even():
    for width, height in itertools.product((161, 320, 1001), (90, 181, 1999)):
        for count, over in ((2, False), (3, False), (2, True)):
            laid = layout(count, (width, height), 960, over=over)
            assert all(side % 2 == 0 for side in (*laid.cell, *laid.size))
            assert laid.cell[0] <= width + 1
            assert laid.cell[1] <= height + 1


def pictures(*numbers: int) -> list[Image.Image]:
    return [Image.fromarray(numbered(number, 320, 180)) for number in numbers]


def cell_of(whole: Image.Image, laid: Layout, place: int) -> Image.Image:
    left, top = laid.places[place]
    return whole.crop((left, top, left + laid.cell[0], top + laid.cell[1]))


def test_each_swing_is_in_its_own_cell():
    laid = layout(3, (320, 180), 320)
    whole = compose(pictures(5, 1234, 77), laid)
    assert whole.size == laid.size
    assert [read_number(cell_of(whole, laid, place)) for place in range(3)] == [5, 1234, 77]


def test_laid_over_one_another_each_is_seen_as_clear_as_asked():
    laid = layout(2, (64, 64), 64, over=True)
    black, white = Image.new("RGB", (64, 64), "black"), Image.new("RGB", (64, 64), "white")
    for opacity, level in ((0.0, 0), (0.25, 64), (0.5, 128), (1.0, 255)):
        whole = compose([black, white], laid, opacity=opacity)
        assert np.asarray(whole).mean() == pytest.approx(level, abs=1)


def test_captions_stand_at_the_foot_of_their_own_picture():
    laid = layout(2, (320, 180), 320)
    plain = np.asarray(compose(pictures(1, 2), laid)).astype(int)
    words = compose(pictures(1, 2), laid, captions=["", "20 March"], words="")
    rows, columns = np.nonzero(np.abs(np.asarray(words).astype(int) - plain).sum(axis=2))
    left, top = laid.places[1]
    assert rows.min() >= top + 180 - 30
    assert rows.max() == top + 180 - 1
    assert columns.max() < left + 320
    assert np.asarray(words)[rows.min() :].max() == 255  # light letters on a dark plate


def test_a_caption_that_is_too_long_is_cut_and_stays_in_its_cell():
    laid = layout(2, (90, 160), 160)
    both = [Image.new("RGB", (90, 160), "green")] * 2
    plain = np.asarray(compose(both, laid)).astype(int)
    words = np.asarray(compose(both, laid, captions=["a very long caption " * 9, ""])).astype(int)
    assert np.nonzero(np.abs(words - plain).sum(axis=2))[1].max() < 90 + GAP_PX


def test_a_window_shows_its_part_of_the_picture():
    picture = pictures(3)[0]
    upper_right = lay(picture, Window(2, -320, 0), (320, 180), 1)
    assert read_corners(upper_right.crop((160, 0, 320, 90)))[1] == "g"
    whole = lay(picture, Window(1, 0, 0), (160, 90), 0.5)
    assert read_number(whole) == 3


@pytest.mark.parametrize("over", [False, True])
def test_where_a_picture_does_not_reach_what_is_behind_is_seen(over: bool):
    laid = layout(2, (320, 180), 320, over=over)
    below = Image.new("RGB", (320, 180), "green")
    small = lay(pictures(3)[0], Window(0.5, 80, 45), (320, 180), 1)
    cell = cell_of(compose([below, small], laid, opacity=1), laid, 1)
    assert cell.getpixel((10, 10)) == ((0, 128, 0) if over else BEHIND)
    assert read_number(cell.crop((80, 45, 240, 135))) == 3


def test_a_picture_outside_of_its_cell_is_not_seen():
    away = lay(pictures(3)[0], Window(1, 999, 0), (320, 180), 1)
    assert away.getextrema()[3] == (0, 0)


def _dark_rows(image: Image.Image, beyond: int = 60) -> int:
    """How many rows of a white picture a plate has darkened at its left edge."""
    return sum(image.getpixel((1, y))[0] < 255 - beyond for y in range(image.height))


def test_a_long_caption_takes_a_second_line_and_a_short_one_does_not():
    laid = layout(1, (300, 300), 300)
    white = Image.new("RGBA", laid.cell, (255, 255, 255, 255))
    one = _dark_rows(compose([white], laid, captions=["Start, 21 Nov"]))
    two = _dark_rows(
        compose([white], laid, captions=["Start, 21 Nov, mirrored " + "and more " * 3])
    )
    cut = _dark_rows(
        compose([white], laid, captions=["so long that two lines hold none of it " * 9])
    )
    assert 0 < one < two < 2 * one + 2
    assert cut == two


def test_captions_of_swings_over_one_another_do_not_meet():
    laid = layout(2, (300, 300), 300, over=True)
    white = Image.new("RGBA", laid.cell, (255, 255, 255, 255))
    long = "Start, 21 Nov, mirrored " + "and more " * 3
    both = _dark_rows(compose([white, white], laid, captions=[long, long]))
    single = _dark_rows(compose([white, white], laid, captions=[long]))
    assert both == pytest.approx(2 * single, abs=2)
