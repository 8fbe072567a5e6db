"""The small plot of how practice felt."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

import pytest

from lessons.board.feel import HEIGHT, MARGIN, WIDTH, feel_plot, feel_words

FIRST = datetime.date(2025, 5, 1)


@dataclass
class Said:
    day: datetime.date
    felt: int | None


def said(*pairs: tuple[int, int | None]) -> list[Said]:
    return [Said(FIRST + datetime.timedelta(after), felt) for after, felt in pairs]


def plot(*pairs: tuple[int, int | None]):
    return feel_plot(said(*pairs), FIRST, FIRST + datetime.timedelta(10))


def test_points_stand_by_day_and_by_feel():
    points = plot((10, 5), (0, 1), (5, 3)).points
    assert [(point.x, point.y) for point in points] == [
        (MARGIN, HEIGHT - MARGIN),
        (WIDTH / 2, HEIGHT / 2),
        (WIDTH - MARGIN, MARGIN),
    ]


def test_several_of_a_day_are_one_point_at_their_mean():
    made = plot((3, 2), (3, 5))
    assert [point.felt for point in made.points] == [3.5]
    assert made.told == 2
    assert made.words == "Felt good; told 2 times."


@pytest.mark.parametrize(
    ("pairs", "words"),
    [
        (((1, 1),), "Felt strange; told once."),
        (((1, 2), (4, 3), (9, 5)), "Felt hard at first, natural lately; told 3 times."),
        (((1, 4), (9, 4)), "Felt good at first and lately; told 2 times."),
    ],
)
def test_the_words_say_the_same(pairs, words: str):
    assert plot(*pairs).words == words


def test_without_a_word_of_it_there_is_no_plot():
    assert plot((1, None)) is None
    assert plot() is None


def test_days_outside_do_not_count():
    assert plot((-1, 3), (11, 3)) is None


def test_a_lesson_of_today_divides_by_nothing():
    assert feel_plot(said((0, 4)), FIRST, FIRST).points[0].x == MARGIN


@pytest.mark.parametrize(("felt", "words"), [(1.0, "strange"), (2.5, "so-so"), (4.49, "good")])
def test_the_nearest_word_is_taken(felt: float, words: str):
    assert feel_words(felt) == words
