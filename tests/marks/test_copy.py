"""Marks put on other stills of the clip: POST /stills/<pk>/sets/copy/, and taken back."""

from __future__ import annotations

import html
import re
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from lessons.clips.models import Still
from lessons.marks.drawing import LIMITS
from lessons.marks.models import MarkSet
from lessons.marks.service import save_marks
from tests import factories
from tests.marks.conftest import HEIGHT, WIDTH, line, make_still

SPINE = line(id="s1", text="Spine")
LEAN = line(id="s2", points=[[5, 5], [50, 60]], shows="lines", against="s1")


@pytest.fixture
def others(still: Still) -> list[Still]:
    """Two more stills of the clip."""
    save_marks(still, 0, [SPINE, LEAN])
    return [_still(still, after) for after in (1, 2)]


def _still(still: Still, after: int, **values: Any) -> Still:
    size = {"width_px": WIDTH, "height_px": HEIGHT}
    ready = {"clip": still.clip, "state": Still.State.READY, "time_us": still.time_us + after}
    return factories.StillFactory(**{**size, **ready, **values})


def copy(client: Client, still: Still, *targets: int) -> Any:
    return client.post(reverse("marks:copy", args=[still.pk]), {"stills": targets})


def drawn(still: Still) -> list[dict[str, Any]]:
    kept = MarkSet.objects.filter(still=still).first()
    return kept.marks if kept else []


def undo_in(answer: Any) -> str:
    found = re.search(r'name="undo" value="([^"]+)"', answer.content.decode())
    assert found
    return html.unescape(found[1])


def test_marks_stand_on_the_chosen_stills_in_the_same_place(as_coach, still, others):
    mine = line(id="m", points=[[1, 1], [2, 2]])
    save_marks(others[0], 0, [mine])
    answer = copy(as_coach, still, *[one.pk for one in others])
    assert "on 2 more stills" in answer.content.decode()
    assert drawn(others[0])[0] == mine, "what was drawn there stays below"
    for target, before in zip(others, (1, 0), strict=True):
        spine, lean = drawn(target)[before:]
        assert spine == {**SPINE, "id": spine["id"]}
        assert lean == {**LEAN, "id": lean["id"], "against": spine["id"]}
        assert {spine["id"], lean["id"]}.isdisjoint({"s1", "s2"})


def test_copying_twice_puts_nothing_there_twice(as_coach, still, others):
    copy(as_coach, still, others[0].pk)
    again = copy(as_coach, still, others[0].pk)
    assert "were on these stills already" in again.content.decode()
    assert len(drawn(others[0])) == 2


def test_a_copying_can_be_undone_and_leaves_what_was_there(as_coach, still, others):
    mine = line(id="m", points=[[1, 1], [2, 2]])
    save_marks(others[0], 0, [mine])
    undo = undo_in(copy(as_coach, still, *[one.pk for one in others]))
    back = reverse("marks:take_back_copies", args=[still.pk])
    answer = as_coach.post(back, {"undo": undo})
    assert "off 2 stills again" in answer.content.decode()
    assert drawn(others[0]) == [mine]
    assert drawn(others[1]) == []
    assert "off 0 stills" in as_coach.post(back, {"undo": undo}).content.decode()


def test_a_full_still_is_told_and_the_others_get_theirs(as_coach, still, others):
    full = [line(id=f"f{n}", points=[[n, 0], [n, 9]]) for n in range(LIMITS["marks"])]
    save_marks(others[0], 0, full)
    page = copy(as_coach, still, *[one.pk for one in others]).content.decode()
    assert "A still holds at most" in page
    assert "on 1 more still." in page
    assert len(drawn(others[1])) == 2


@pytest.mark.parametrize("which", ["none", "other size", "other clip", "gone", "no number"])
def test_it_refuses_bad_input(as_coach, still, others, which):
    chosen = {
        "none": [],
        "other size": [_still(still, 3, width_px=9, height_px=9).pk],
        "other clip": [make_still(still.clip.lesson).pk],
        "gone": [10**6],
        "no number": ["x"],
    }[which]
    answer = copy(as_coach, still, *chosen)
    assert answer.status_code == 422
    assert "hoose" in answer.content.decode()


@pytest.mark.parametrize("undo", ["", "made up", "eyJ4IjogMX0:1:x"])
def test_only_what_was_copied_can_be_taken_back(as_coach, still, undo):
    answer = as_coach.post(reverse("marks:take_back_copies", args=[still.pk]), {"undo": undo})
    assert answer.status_code == 400


def test_it_refuses_another_coach_and_changes_nothing(as_coach, as_other_coach, still, others):
    assert copy(as_other_coach, still, others[0].pk).status_code == 404
    undo = undo_in(copy(as_coach, still, others[0].pk))
    back = reverse("marks:take_back_copies", args=[still.pk])
    assert as_other_coach.post(back, {"undo": undo}).status_code == 404
    assert len(drawn(others[0])) == 2


@pytest.mark.parametrize("name", ["copy", "take_back_copies"])
def test_it_rejects_get_and_the_signed_out(as_coach, as_nobody, still, name):
    address = reverse(f"marks:{name}", args=[still.pk])
    assert as_coach.get(address).status_code == 405
    assert as_nobody.post(address).status_code == 302


def test_a_ruler_that_is_there_goes_on_counting(as_coach, still, others):
    club = line(id="club", kind="ruler", points=[[0, 0], [600, 0]], length_mm=940)
    ball = line(id="ball", kind="ruler", points=[[0, 9], [20, 9]], length_mm=42.67)
    save_marks(still, 1, [club])
    save_marks(others[0], 0, [ball])
    copy(as_coach, still, others[0].pk)
    here, copied = drawn(others[0])
    assert (here["id"], here["shows"]) == ("ball", "scale")
    assert (copied["length_mm"], copied.get("shows", "")) == (940, "")
    copy(as_coach, still, others[0].pk)
    assert len(drawn(others[0])) == 2
