"""Boxing a patch: GET and POST /clips/<pk>/follow/."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from lessons.clips.models import Clip, Cut, Still, Swing
from lessons.paths.models import Path
from tests import factories
from tests.paths.conftest import STAGE, box


def address(clip: Clip) -> str:
    return reverse("paths:begin", args=[clip.pk])


def test_the_coach_boxes_a_patch_at_the_desk(as_coach: Client, clip: Clip):
    page = as_coach.get(address(clip), {"time_us": 700_000}).content.decode()
    assert "<path-viewer" in page
    assert "<lesson-desk" in page
    assert 'data-time-us="700000"' in page


def test_the_desk_swaps_the_stage_alone(as_coach: Client, clip: Clip):
    page = as_coach.get(address(clip), headers=STAGE).content.decode()
    assert "<path-viewer" in page
    assert "<html" not in page


def test_it_begins_at_the_stills_frame(as_coach: Client, clip: Clip):
    still = factories.StillFactory(clip=clip, time_us=900_000, state=Still.State.READY)
    page = as_coach.get(address(clip), {"still": still.pk}).content.decode()
    assert 'data-time-us="900000"' in page


@pytest.mark.parametrize("asked", ["-4", "x", "9" * 30, "1.5"])
def test_a_moment_that_is_none_is_the_beginning(as_coach: Client, clip: Clip, asked: str):
    page = as_coach.get(address(clip), {"time_us": asked, "still": asked}).content.decode()
    assert 'data-time-us="0"' in page


def test_a_clip_of_the_library_has_a_page_of_its_own(as_coach: Client, coach: Any):
    clip = factories.ClipFactory(lesson=None, coach=coach, ready=True)
    factories.CutFactory(clip=clip, state=Cut.State.READY)
    page = as_coach.get(address(clip)).content.decode()
    assert "<path-viewer" in page
    assert "<lesson-desk" not in page


def test_it_is_followed_through_the_swing(
    as_coach: Client, swing: Swing, no_worker: list[int], django_capture_on_commit_callbacks: Any
):
    with django_capture_on_commit_callbacks(execute=True):
        answer = as_coach.post(address(swing.clip), {**box(), "what": "head"})
    path = Path.objects.get()
    assert answer["Location"] == reverse("paths:path", args=[path.pk])
    assert path.swing == swing
    assert (path.begin_us, path.end_us) == (swing.begin_us - 300_000, swing.finish_us + 300_000)
    assert path.boxes == [box(x=640.0, y=180.0, width=90.0, height=110.0)]
    assert path.still is not None
    assert path.still.time_us == 500_000
    assert no_worker == [path.pk]


def test_its_trace_is_drawn_on_the_still_it_was_boxed_on(as_coach: Client, clip: Clip):
    still = factories.StillFactory(clip=clip, time_us=500_000, state=Still.State.READY)
    as_coach.post(f"{address(clip)}?still={still.pk}", {**box(), "what": "hip"})
    assert Path.objects.get().still == still


def test_its_trace_is_drawn_on_the_swings_address_where_there_is_one(as_coach: Client, clip: Clip):
    still = factories.StillFactory(
        clip=clip, time_us=516_667, position="P1", state=Still.State.READY
    )
    as_coach.post(address(clip), {**box(time_us=1_000_000), "what": "hip"})
    assert Path.objects.get().still == still


def test_where_there_is_none_the_swings_address_is_pulled(as_coach: Client, swing: Swing):
    """A still of the boxed frame would lie about without a name."""
    for time_us in (1_000_000, 1_200_000):
        as_coach.post(address(swing.clip), {**box(time_us=time_us), "what": "hip"})
    still = Still.objects.get()
    assert (still.position, still.time_us, still.swing) == ("P1", 500_000, swing)
    assert {path.still for path in Path.objects.all()} == {still}


def test_without_a_swing_it_is_followed_around_the_box(as_coach: Client, swing: Swing):
    swing.remove()
    as_coach.post(address(swing.clip), {**box(time_us=2_500_000), "what": "grip"})
    path = Path.objects.get()
    assert path.swing is None
    assert (path.begin_us, path.end_us) == (500_000, 3_000_000)


def test_something_else_has_a_name(as_coach: Client, clip: Clip):
    as_coach.post(address(clip), {**box(), "what": "other", "name": "  lead   knee "})
    assert Path.objects.get().title == "Lead knee"


@pytest.mark.parametrize(
    ("sent", "said"),
    [
        ({"x": ""}, "Draw a box"),
        ({"x": "nan"}, "did not arrive whole"),
        ({"width": "abc"}, "did not arrive whole"),
        ({"time_us": "-1"}, "did not arrive whole"),
        ({"time_us": "99999999999"}, "ends before"),
        ({"x": "5000"}, "outside of the picture"),
        ({"width": "3"}, "too small"),
        ({"width": "1200"}, "too large"),
        ({"what": ""}, "Say what you boxed"),
        ({"what": "cat"}, "Say what you boxed"),
        ({"what": "other", "name": " "}, "Say in a word"),
    ],
)
def test_it_says_what_is_wrong_with_a_box(
    as_coach: Client, clip: Clip, sent: dict[str, str], said: str
):
    answer = as_coach.post(address(clip), {**box(), "what": "head", **sent})
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert not Path.objects.exists()


def test_a_refusal_brings_the_box_back(as_coach: Client, clip: Clip):
    sent = {**box(time_us=700_000, x="640.5"), "what": "other", "name": ""}
    page = " ".join(as_coach.post(address(clip), sent).content.decode().split())
    assert 'data-time-us="700000"' in page
    for name, value in (("x", "640.5"), ("y", "180"), ("width", "90"), ("height", "110")):
        assert f'name="{name}" data-field="{name}" value="{value}"' in page
    assert 'value="other" checked' in page
    assert page.index("data-refusal") < page.index("data-follow")


def test_it_offers_to_make_a_part_ready_that_is_not(as_coach: Client, clip: Clip):
    Cut.objects.all().delete()
    assert "Make it ready" in as_coach.get(address(clip)).content.decode()
    answer = as_coach.post(address(clip), {**box(), "what": "head"})
    assert answer.status_code == 422
    assert not Path.objects.exists()


def test_it_waits_for_a_part_that_is_being_made_ready(as_coach: Client, clip: Clip):
    Cut.objects.update(state=Cut.State.MAKING)
    assert 'hx-trigger="every 2s"' in as_coach.get(address(clip)).content.decode()


@pytest.mark.parametrize("who", ["as_student", "as_other_student", "as_guardian", "as_other_coach"])
def test_it_is_for_the_coach_alone(request: pytest.FixtureRequest, clip: Clip, who: str):
    client = request.getfixturevalue(who)
    assert client.get(address(clip)).status_code == 404
    assert client.post(address(clip), {**box(), "what": "head"}).status_code == 404


def test_it_refuses_other_methods_and_nobody(as_coach: Client, as_nobody: Client, clip: Clip):
    assert as_coach.put(address(clip)).status_code == 405
    assert as_nobody.get(address(clip)).status_code == 302
