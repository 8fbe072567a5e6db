"""Names told apart by number: `lessons.clips.alike`."""

from __future__ import annotations

from lessons.clips.alike import numbered


def test_those_alike_are_numbered_in_their_order():
    assert numbered(["Head", "Grip", "Head", "Head"]) == [1, 0, 2, 3]


def test_no_names_have_no_numbers():
    assert numbered([]) == []
