"""Who needs a word first: each reason, its edge, and their order."""

from __future__ import annotations

import datetime

import pytest

from lessons.board.drift import Drift
from lessons.board.word import RULE, Facts, word_first

TODAY = datetime.date(2025, 5, 15)


def ago(days: int) -> datetime.date:
    return TODAY - datetime.timedelta(days)


def facts(**known: object) -> Facts:
    """A student who needs no word, but for what is said."""
    quiet: dict[str, object] = {
        "posted_on": ago(10),
        "seen": True,
        "has_drills": True,
        "last_practised": ago(1),
        "next_visit": TODAY + datetime.timedelta(10),
    }
    return Facts(today=TODAY, **{**quiet, **known})


@pytest.mark.parametrize(
    ("known", "rank", "why"),
    [
        ({"hurt_on": ago(7)}, 0, "Logged 7 days ago that something hurt"),
        ({"waiting": "1 question"}, 1, "1 question not read yet"),
        ({"seen": False, "posted_on": ago(3)}, 2, "Recap not seen, 3 days after posting"),
        ({"last_practised": ago(7)}, 3, "Nothing practised for 7 days"),
        ({"last_practised": None, "posted_on": ago(12)}, 3, "Nothing practised for 12 days"),
        ({"last_practised": ago(12), "rested": 5}, 3, "Nothing practised for 7 days"),
        ({"next_visit": ago(1)}, 4, "Next visit was due yesterday"),
        (
            {"drift": Drift(1, 4)},
            5,
            "Practised on 1 of the last 7 days, on 4 of the 7 before",
        ),
        ({"left_aside": ("the gate",)}, 6, "Left the gate aside so far"),
        ({"unposted_date": ago(2)}, 7, "The lesson of Tuesday 13 May is not posted"),
    ],
)
def test_each_reason_says_why(known: dict[str, object], rank: int, why: str):
    word = word_first(facts(**known))
    assert word is not None
    assert (word.rank, word.why) == (rank, why)
    assert rank < len(RULE)


@pytest.mark.parametrize(
    "known",
    [
        {},
        {"hurt_on": ago(8)},
        {"seen": False, "posted_on": ago(2)},
        {"last_practised": ago(6)},
        {"last_practised": ago(12), "rested": 6},
        {"last_practised": ago(12), "is_resting": True},
        {"last_practised": None, "has_drills": False},
        {"last_practised": None, "posted_on": ago(6)},
        {"next_visit": TODAY},
        {"next_visit": ago(1), "unposted_date": ago(1)},
        {"next_visit": None},
        {"unposted_date": ago(1)},
    ],
)
def test_no_word_is_due_before_its_day(known: dict[str, object]):
    assert word_first(facts(**known)) is None


def test_of_several_reasons_the_first_of_the_rule_counts():
    known = {"hurt_on": ago(1), "seen": False, "last_practised": None, "left_aside": ("a",)}
    assert word_first(facts(**known)).rank == 0
    del known["hurt_on"]
    assert word_first(facts(**known)).rank == 2
    del known["seen"]
    assert word_first(facts(**known)).rank == 3


def test_a_student_without_lessons_needs_no_word():
    assert word_first(Facts(today=TODAY)) is None


def test_practice_is_not_missed_once_the_next_visit_is_over():
    assert word_first(facts(last_practised=None, next_visit=ago(2))).rank == 4
