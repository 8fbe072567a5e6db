"""Start and end of one position share a card."""

from __future__ import annotations

import pytest

from lessons.recaps.cards import Card, cards
from lessons.recaps.models import RecapStill
from tests import factories


@pytest.fixture
def shown(recap):
    """Puts a still in the recap: its part, position and view."""

    def put(part: str, position: str, view: str = "face-on") -> RecapStill:
        clip = factories.ClipFactory(lesson=recap.lesson, ready=True, part=part, view=view)
        still = factories.StillFactory(clip=clip, state="ready", position=position)
        return RecapStill.objects.create(recap=recap, still=still, order=recap.stills.count())

    return put


def test_start_and_end_of_a_position_are_before_and_after(shown, recap):
    end, other, start = shown("end", "P4"), shown("start", "P7"), shown("start", "P4")
    assert cards(recap.stills.all()) == [Card(start, end), Card(other)]


@pytest.mark.parametrize(
    ("one", "two"),
    [
        (("start", "P4"), ("end", "P5")),
        (("start", "P4"), ("middle", "P4")),
        (("start", "P4"), ("start", "P4")),
        (("start", ""), ("end", "")),
        (("start", "P4"), ("end", "P4", "down-the-line")),
    ],
)
def test_others_stand_alone(shown, recap, one, two):
    assert cards(recap.stills.all()) == []
    assert cards([shown(*one), shown(*two)]) == [Card(s) for s in recap.stills.all()]


def test_a_third_of_the_same_position_stands_alone(shown, recap):
    start, end, more = shown("start", "P4"), shown("end", "P4"), shown("end", "P4")
    assert cards(recap.stills.all()) == [Card(start, end), Card(more)]
