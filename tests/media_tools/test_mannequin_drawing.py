"""What the pictures show stands where the truth says, and frames carry their number."""

from __future__ import annotations

import numpy as np
import pytest
from PIL import Image

from media_tools.mannequin import (
    Film,
    FrameCodeError,
    SwingSpec,
    TimedSwing,
    Truth,
    draw_frame,
    read_frame_code,
    swinger,
    truth_of,
)
from media_tools.mannequin.framecode import MOST, draw_frame_code

MAGENTA = (255, 0, 255)
FILMS = [
    Film(swinger=swinger(handed=handed), view=view, size_px=(960, 540), fps=60)
    for handed in ("right", "left")
    for view in ("face-on", "down-the-line")
]
every_film = pytest.mark.parametrize(
    "film", FILMS, ids=[f"{f.swinger.handed} {f.view}" for f in FILMS]
)


def frame_of(truth: Truth, position: str) -> int:
    return truth.frame_at(truth.swings[0].positions_us[position])


def centroid_of(film: Film, number: int, **dyed: tuple[int, int, int]) -> tuple[float, float]:
    """The middle of what changes in a frame when a piece of clothing is dyed otherwise."""
    person = film.swinger
    build = swinger("adult", handed=person.handed, **dyed)
    plain = np.asarray(draw_frame(film, number), dtype=int)
    other = Film(build, film.swings, film.view, film.size_px, film.fps)
    painted = np.asarray(draw_frame(other, number), dtype=int)
    weight = np.abs(painted - plain).sum(axis=-1)
    rows, columns = np.nonzero(weight > 30)
    return float(columns.mean()), float(rows.mean())


@every_film
def test_the_ball_lies_where_the_truth_says(film: Film) -> None:
    truth = truth_of(film)
    number = frame_of(truth, "P3")
    picture = np.asarray(draw_frame(film, number))
    x, y = truth.joint("ball", number)
    near = picture[round(y) - 12 : round(y) + 13, round(x) - 12 : round(x) + 13].min(axis=-1)
    rows, columns = np.nonzero(near > 215)
    assert len(rows) > 10
    # the lit side of the ball is up and to the left: two pixels at most
    assert columns.mean() - 12 == pytest.approx(x - round(x), abs=2)
    assert rows.mean() - 12 == pytest.approx(y - round(y), abs=2)


@every_film
@pytest.mark.parametrize("position", ["P3", "P9"])
def test_the_club_head_is_drawn_where_the_truth_says(film: Film, position: str) -> None:
    truth = truth_of(film)
    number = frame_of(truth, position)
    x, y = truth.joint("club_head", number)
    red, green, blue = np.asarray(draw_frame(film, number), dtype=int)[round(y), round(x)]
    # steel: grey, a little blue; the sky and the trees behind are far more coloured
    assert abs(red - green) < 16
    assert 0 <= blue - red < 32


@every_film
def test_the_glove_is_drawn_below_the_lead_wrist(film: Film) -> None:
    truth = truth_of(film)
    number = frame_of(truth, "P2") if film.view == "face-on" else frame_of(truth, "P4")
    x, y = centroid_of(film, number, glove=MAGENTA)
    wrist, grip = truth.joint("lead_wrist", number), truth.joint("grip", number)
    reach = 0.12 * truth.px_per_m
    assert np.hypot(x - (wrist[0] + grip[0]) / 2, y - (wrist[1] + grip[1]) / 2) < reach


@every_film
@pytest.mark.parametrize("position", ["P1", "P7", "P10"])
def test_the_cap_sits_on_the_head(film: Film, position: str) -> None:
    truth = truth_of(film)
    number = frame_of(truth, position)
    x, y = centroid_of(film, number, cap=MAGENTA)
    head = truth.joint("head", number)
    above = head[1] - y
    assert 0 < above < 0.12 * truth.px_per_m
    assert abs(x - head[0]) < 0.10 * truth.px_per_m


@every_film
def test_the_shoes_stand_at_the_ankles(film: Film) -> None:
    truth = truth_of(film)
    x, y = centroid_of(film, 0, shoes=MAGENTA)
    lead, trail = truth.joint("lead_ankle", 0), truth.joint("trail_ankle", 0)
    middle = ((lead[0] + trail[0]) / 2, (lead[1] + trail[1]) / 2)
    assert np.hypot(x - middle[0], y - middle[1]) < 0.16 * truth.px_per_m


def test_a_frame_is_drawn_the_same_again() -> None:
    film = FILMS[0]
    assert draw_frame(film, 40).tobytes() == draw_frame(film, 40).tobytes()


def test_another_seed_plants_other_trees() -> None:
    other = Film(size_px=(960, 540), seed=2)
    assert draw_frame(other, 0).tobytes() != draw_frame(FILMS[0], 0).tobytes()


def test_a_practice_swing_has_no_ball() -> None:
    film = Film(size_px=(640, 360), swings=(TimedSwing(0.3, SwingSpec(strike=False)),))
    assert set(truth_of(film).joints["ball"]) == {None}


@pytest.mark.parametrize("size", [(1080, 1920), (1920, 1080), (640, 360)])
def test_a_frame_has_the_size_asked_for(size: tuple[int, int]) -> None:
    assert draw_frame(Film(size_px=size), 0).size == size


@pytest.mark.parametrize("size", [(1280, 720), (720, 1280), (640, 360), (334, 250)])
@pytest.mark.parametrize("share", [1.0, 0.5])
def test_every_number_is_read_back(size: tuple[int, int], share: float) -> None:
    lot = np.random.default_rng(5)
    for number in (0, 1, 255, 65_537, MOST, *(int(n) for n in lot.integers(0, MOST, 6))):
        picture = lot.integers(0, 256, (size[1], size[0], 3), dtype=np.uint8)
        draw_frame_code(picture, number)
        small = Image.fromarray(picture).resize((int(size[0] * share), int(size[1] * share)))
        assert read_frame_code(small) == number
        assert read_frame_code(np.asarray(small)) == number


def test_a_turned_bit_is_noticed() -> None:
    picture = np.zeros((720, 1280, 3), dtype=np.uint8)
    draw_frame_code(picture, 1234)
    square = 720 // 36
    spot = slice(int(square * 1.5), int(square * 2.5)), slice(int(square * 2.5), int(square * 3.5))
    picture[spot] = 255 - picture[spot]
    with pytest.raises(FrameCodeError, match="no frame number"):
        read_frame_code(picture)


def test_a_picture_without_a_number_is_refused() -> None:
    with pytest.raises(FrameCodeError):
        read_frame_code(draw_frame(Film(size_px=(640, 360)), 0))


def test_a_number_that_does_not_fit_is_refused() -> None:
    with pytest.raises(ValueError, match="0 to 1048575"):
        draw_frame_code(np.zeros((360, 640, 3), dtype=np.uint8), MOST + 1)
