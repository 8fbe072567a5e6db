"""clips:file and clips:picture, the files of clips and stills."""

from __future__ import annotations

import json

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from lessons.clips import service, tasks
from lessons.clips.models import Clip, Still
from lessons.visits.models import Lesson
from tests import factories

OPEN = {
    "watch": "video/mp4",
    "poster": "image/jpeg",
    "strip": "image/jpeg",
    "peaks": "application/json",
    "times": "application/json",
}


def address(clip: Clip, what: str) -> str:
    return reverse("clips:file", args=[clip.pk, what])


def bytes_of(answer) -> bytes:
    return b"".join(answer.streaming_content)


@pytest.fixture
def posted(ready_clip: Clip) -> Clip:
    Lesson.objects.filter(pk=ready_clip.lesson_id).update(posted_at=timezone.now())
    return ready_clip


@pytest.fixture
def still(posted: Clip, no_worker: list[int]) -> Still:
    still = service.take_still(posted, 0, "P1")
    tasks.pull(still.pk)
    still.refresh_from_db()
    return still


@pytest.mark.parametrize(("what", "kind"), OPEN.items())
def test_the_student_gets_what_a_player_needs(
    as_student: Client, posted: Clip, what: str, kind: str
):
    answer = as_student.get(address(posted, what))
    assert answer.status_code == 200
    assert answer["Content-Type"] == kind
    with getattr(posted, what).open() as file:
        assert bytes_of(answer) == file.read()


def test_a_player_gets_the_bytes_it_asks_for(as_student: Client, posted: Clip):
    answer = as_student.get(address(posted, "watch"), headers={"Range": "bytes=0-1"})
    assert answer.status_code == 206
    assert len(bytes_of(answer)) == 2


def test_the_times_are_a_list_of_microseconds(as_student: Client, posted: Clip):
    times = json.loads(bytes_of(as_student.get(address(posted, "times"))))
    assert times[0] == 0
    assert times == sorted(times)
    assert all(isinstance(time, int) for time in times)


def test_the_coach_gets_the_original_under_its_own_name(as_coach: Client, posted: Clip):
    answer = as_coach.get(address(posted, "original"))
    assert answer.status_code == 200
    assert 'attachment; filename="swing.mov"' in answer["Content-Disposition"]
    assert len(bytes_of(answer)) == posted.original_bytes


def test_the_student_never_gets_the_original(as_student: Client, posted: Clip):
    assert as_student.get(address(posted, "original")).status_code == 404


def test_a_file_that_is_not_made_yet_is_not_found(as_coach: Client, lesson: Lesson):
    clip = factories.ClipFactory(lesson=lesson)
    assert as_coach.get(address(clip, "watch")).status_code == 404


@pytest.mark.parametrize("what", ["upload", "lease_token", "motion", "nothing"])
def test_nothing_else_is_a_file(as_coach: Client, posted: Clip, what: str):
    assert as_coach.get(address(posted, what)).status_code == 404


def test_the_student_gets_the_cut_to_step_through(as_student: Client, posted: Clip):
    cut = posted.cuts.get()
    answer = as_student.get(reverse("clips:study", args=[cut.pk]))
    assert answer["Content-Type"] == "video/mp4"
    with cut.study.open() as file:
        assert bytes_of(answer) == file.read()


def test_a_cut_that_is_not_made_yet_is_not_found(as_coach: Client, lesson: Lesson):
    cut = factories.CutFactory(clip__lesson=lesson)
    assert as_coach.get(reverse("clips:study", args=[cut.pk])).status_code == 404


@pytest.mark.parametrize("who", ["as_other_coach", "as_other_student", "as_guardian"])
def test_strangers_get_no_file(
    who: str, request: pytest.FixtureRequest, posted: Clip, still: Still
):
    client = request.getfixturevalue(who)
    for what in (*OPEN, "original"):
        assert client.get(address(posted, what)).status_code == 404
    assert client.get(reverse("clips:picture", args=[still.pk])).status_code == 404


def test_the_student_of_a_lesson_not_posted_gets_no_file(as_student: Client, ready_clip: Clip):
    assert as_student.get(address(ready_clip, "watch")).status_code == 404


def test_the_student_gets_a_stills_picture(as_student: Client, still: Still):
    answer = as_student.get(reverse("clips:picture", args=[still.pk]))
    assert answer["Content-Type"] == "image/jpeg"
    assert bytes_of(answer).startswith(b"\xff\xd8")


def test_a_still_not_pulled_yet_has_no_picture(as_coach: Client, lesson: Lesson):
    still = factories.StillFactory(clip__lesson=lesson)
    assert as_coach.get(reverse("clips:picture", args=[still.pk])).status_code == 404


def test_a_removed_still_has_no_picture(as_coach: Client, still: Still):
    still.remove()
    assert as_coach.get(reverse("clips:picture", args=[still.pk])).status_code == 404


def test_they_send_the_signed_out_to_sign_in(as_nobody: Client, still: Still):
    assert as_nobody.get(address(still.clip, "watch")).status_code == 302
    assert as_nobody.get(reverse("clips:picture", args=[still.pk])).status_code == 302


def test_they_refuse_another_method(as_coach: Client, still: Still):
    assert as_coach.post(address(still.clip, "watch")).status_code == 405
    assert as_coach.post(reverse("clips:picture", args=[still.pk])).status_code == 405
