"""clips:take, asking for the shown frame as a still, and the clip's list of stills."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from lessons.clips import service, times
from lessons.clips.models import Clip, Still
from lessons.visits.models import Lesson
from tests import factories

HTMX = {"HX-Request": "true", "HX-Target": "stills"}


def address(clip: Clip) -> str:
    return reverse("clips:take", args=[clip.pk])


@pytest.fixture(autouse=True)
def _no_worker(no_worker: list[int]) -> None:
    """Stills stay wanted."""


def test_a_tap_on_a_position_asks_for_the_shown_frame(
    as_coach: Client, ready_clip: Clip, no_worker, django_capture_on_commit_callbacks
):
    table = times.read(ready_clip)
    with django_capture_on_commit_callbacks(execute=True):
        answer = as_coach.post(
            address(ready_clip), {"time_us": table[20], "position": "P4"}, headers=HTMX
        )
    still = Still.objects.get()
    assert (still.time_us, still.position, still.state) == (table[20], "P4", Still.State.WANTED)
    assert no_worker == [still.pk]
    page = answer.content.decode()
    assert "every 1s" in page
    assert 'data-position="P4"' in page
    assert answer["HX-Trigger"] == "still-taken"


def test_a_time_inside_a_frame_is_that_frames_time(as_coach: Client, ready_clip: Clip):
    table = times.read(ready_clip)
    as_coach.post(address(ready_clip), {"time_us": table[21] - 1, "caption": "Knee"})
    still = Still.objects.get()
    assert (still.time_us, still.caption) == (table[20], "Knee")


def test_two_taps_are_one_still(as_coach: Client, ready_clip: Clip):
    for _ in range(2):
        as_coach.post(address(ready_clip), {"time_us": 0, "position": "P1"}, headers=HTMX)
    assert Still.objects.count() == 1


def test_a_removed_still_can_be_taken_again(as_coach: Client, ready_clip: Clip):
    service.take_still(ready_clip, 0, "P1").remove()
    as_coach.post(address(ready_clip), {"time_us": 0, "position": "P1"}, headers=HTMX)
    assert Still.objects.current().count() == 1


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"position": "P4"}, "Let the clip load"),
        ({"time_us": "soon", "position": "P4"}, "is no number"),
        ({"time_us": "-1", "position": "P4"}, "begins at 0 s"),
        ({"time_us": "9000000", "position": "P4"}, "there is no frame at 9.000 s"),
        ({"time_us": "0", "position": "P11"}, "from P1 to P10"),
        ({"time_us": "0"}, "Choose a position, or write a caption"),
        ({"time_us": "0", "caption": "x" * 201}, "200 letters"),
    ],
)
def test_it_says_what_is_wrong(
    as_coach: Client, ready_clip: Clip, fields: dict[str, str], words: str
):
    answer = as_coach.post(address(ready_clip), fields, headers=HTMX)
    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert not Still.objects.exists()


def test_a_clip_in_preparation_gives_no_still(as_coach: Client, lesson: Lesson):
    clip = factories.ClipFactory(lesson=lesson)
    answer = as_coach.post(address(clip), {"time_us": 0, "position": "P1"}, headers=HTMX)
    assert "not ready yet" in answer.content.decode()


@pytest.mark.parametrize("who", ["as_other_coach", "as_student", "as_guardian"])
def test_it_refuses_all_but_the_coach(
    who: str, request: pytest.FixtureRequest, posted_lesson: Lesson
):
    clip = factories.ClipFactory(lesson=posted_lesson, ready=True)
    client = request.getfixturevalue(who)
    assert client.post(address(clip), {"time_us": 0, "position": "P1"}).status_code == 404
    assert client.get(reverse("clips:stills", args=[clip.pk])).status_code == 404


def test_it_sends_the_signed_out_to_sign_in(as_nobody: Client, lesson: Lesson):
    clip = factories.ClipFactory(lesson=lesson, ready=True)
    assert as_nobody.post(address(clip)).status_code == 302
    assert as_nobody.get(reverse("clips:stills", args=[clip.pk])).status_code == 302


def test_it_refuses_another_method(as_coach: Client, lesson: Lesson):
    clip = factories.ClipFactory(lesson=lesson, ready=True)
    assert as_coach.get(address(clip)).status_code == 405
    assert as_coach.post(reverse("clips:stills", args=[clip.pk])).status_code == 405


def test_the_list_asks_again_only_while_a_still_is_pulled(as_coach: Client, lesson: Lesson):
    still = factories.StillFactory(clip__lesson=lesson, position="P7")
    listed = reverse("clips:stills", args=[still.clip_id])
    assert "every 1s" in as_coach.get(listed).content.decode()
    Still.objects.update(state=Still.State.READY)
    page = as_coach.get(listed).content.decode()
    assert "every 1s" not in page
    assert reverse("clips:picture", args=[still.pk]) in page


def test_the_list_says_why_a_still_failed(as_coach: Client, lesson: Lesson):
    still = factories.StillFactory(
        clip__lesson=lesson, state=Still.State.FAILED, reason="The picture is damaged."
    )
    page = as_coach.get(reverse("clips:stills", args=[still.clip_id])).content.decode()
    assert "The picture is damaged." in page
    assert reverse("clips:pull_again", args=[still.pk]) in page
