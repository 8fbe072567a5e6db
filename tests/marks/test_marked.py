"""The still with its marks as one picture: GET /stills/<pk>/marked.jpg."""

from __future__ import annotations

import io

import pytest
from django.test import Client
from django.urls import reverse
from PIL import Image

from lessons.clips.models import Still
from lessons.marks.service import save_marks
from tests.marks.conftest import HEIGHT, WIDTH, line


def address(still: Still) -> str:
    return reverse("marks:marked", args=[still.pk])


def test_it_draws_the_marks_into_the_picture(as_student: Client, posted_still: Still):
    save_marks(posted_still, 0, [line(colour="#009E73", points=[[0, 240], [640, 240]])])
    answer = as_student.get(address(posted_still))
    assert answer["Content-Type"] == "image/jpeg"
    picture = Image.open(io.BytesIO(answer.content))
    assert picture.size == (WIDTH, HEIGHT)
    red, green, blue = picture.getpixel((320, 240))
    assert (red < 60, green > 120, blue > 80) == (True, True, True)
    assert abs(picture.getpixel((320, 40))[0] - 128) < 6


def test_it_is_not_sent_twice(as_student: Client, posted_still: Still):
    tag = as_student.get(address(posted_still))["ETag"]
    again = as_student.get(address(posted_still), headers={"If-None-Match": tag})
    assert (again.status_code, again.content) == (304, b"")


def test_new_marks_make_a_new_picture(as_student: Client, posted_still: Still):
    tag = as_student.get(address(posted_still))["ETag"]
    save_marks(posted_still, 0, [line()])
    again = as_student.get(address(posted_still), headers={"If-None-Match": tag})
    assert again.status_code == 200
    assert again["ETag"] != tag


def test_shared_caches_do_not_keep_it(as_student: Client, posted_still: Still):
    assert "private" in as_student.get(address(posted_still))["Cache-Control"]


def test_it_is_not_there_before_the_still_is(as_coach: Client, still: Still):
    Still.objects.update(state=Still.State.WANTED)
    assert as_coach.get(address(still)).status_code == 404


def test_a_student_does_not_see_it_before_the_lesson_is_posted(as_student: Client, still: Still):
    assert as_student.get(address(still)).status_code == 404


@pytest.mark.parametrize("who", ["as_other_student", "as_guardian", "as_other_coach"])
def test_it_refuses_strangers(request: pytest.FixtureRequest, posted_still: Still, who: str):
    client = request.getfixturevalue(who)
    assert client.get(address(posted_still)).status_code == 404


def test_it_sends_nobody_to_the_sign_in(as_nobody: Client, posted_still: Still):
    assert as_nobody.get(address(posted_still)).status_code == 302


def test_it_refuses_other_methods(as_coach: Client, still: Still):
    assert as_coach.post(address(still)).status_code == 405
