"""The share of each lesson's dose as bars."""

from __future__ import annotations

from lessons.programmes.trend import BAR, BASE, STEP, TOP, trend


def test_a_bar_is_as_tall_as_its_share():
    bars = trend([("Lesson 1", 100), ("Lesson 2", 50), ("Lesson 3", 0)]).bars
    assert [bar.height for bar in bars] == [BASE - TOP, (BASE - TOP) / 2, 0]
    assert [bar.top for bar in bars] == [TOP, (BASE + TOP) / 2, BASE]


def test_bars_stand_one_step_apart():
    made = trend([("Lesson 1", 10), ("Lesson 2", 20)])
    assert [bar.middle for bar in made.bars] == [STEP / 2, STEP * 3 / 2]
    assert made.width == 2 * STEP
    assert made.bars[0].width == BAR


def test_the_words_say_the_same():
    assert trend([("Lesson 1", 62), ("Lesson 2", None)]).words == (
        "Dose done. Lesson 1: 62 %; Lesson 2: nothing due."
    )


def test_without_any_share_there_is_no_drawing():
    assert trend([("Lesson 1", None)]) is None
    assert trend([]) is None
