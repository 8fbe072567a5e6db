"""A still's page: the board for its coach, the enlarged picture for its student."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from lessons.clips.models import Still
from lessons.marks.service import save_marks
from tests import factories
from tests.marks.conftest import line

ANGLE = line(id="an", kind="angle", points=[[100, 0], [0, 0], [0, 100]])
LABEL = line(id="la", kind="label", points=[[300, 200]], text="<b>hips</b>")


def address(still: Still) -> str:
    return reverse("marks:still", args=[still.pk])


def test_the_coach_draws_on_it_at_the_desk(as_coach: Client, still: Still):
    save_marks(still, 0, [ANGLE])
    page = as_coach.get(address(still)).content.decode()
    assert "<mark-board" in page
    assert "<lesson-desk" in page
    assert "Angle, 90 degrees" in page


def test_the_desk_swaps_the_stage_alone(as_coach: Client, still: Still):
    headers = {"HX-Request": "true", "HX-Target": "stage"}
    page = as_coach.get(address(still), headers=headers).content.decode()
    assert "<mark-board" in page
    assert "<html" not in page


def test_it_leads_to_the_stills_before_and_after(as_coach: Client, still: Still):
    before = factories.StillFactory(clip=still.clip, time_us=still.time_us - 1)
    after = factories.StillFactory(clip=still.clip, time_us=still.time_us + 1)
    page = as_coach.get(address(still)).content.decode()
    assert f'href="{address(before)}"' in page
    assert f'href="{address(after)}"' in page
    assert "2 of 3" in page


def test_a_still_of_the_library_has_a_page_of_its_own(as_coach: Client, coach: object):
    clip = factories.ClipFactory(lesson=None, coach=coach, ready=True)
    still = factories.StillFactory(clip=clip, state=Still.State.READY, width_px=9, height_px=9)
    page = as_coach.get(address(still)).content.decode()
    assert "<mark-board" in page
    assert "<lesson-desk" not in page


def test_it_says_that_a_still_is_on_its_way(as_coach: Client, still: Still):
    Still.objects.update(state=Still.State.WANTED)
    page = as_coach.get(address(still)).content.decode()
    assert "Taking the still" in page
    assert 'hx-trigger="every 2s"' in page


def test_it_says_why_a_still_failed(as_coach: Client, still: Still):
    Still.objects.update(state=Still.State.FAILED, reason="The clip ends before.")
    page = as_coach.get(address(still)).content.decode()
    assert "The clip ends before." in page
    assert "every 2s" not in page


def test_the_student_sees_it_enlarged_without_tools(as_student: Client, posted_still: Still):
    save_marks(posted_still, 0, [ANGLE, LABEL])
    page = as_student.get(address(posted_still)).content.decode()
    assert "<still-view" in page
    assert "<mark-board" not in page
    assert "Marked: angle, 90 degrees; label: &lt;b&gt;hips&lt;/b&gt;." in page
    assert "<b>hips" not in page
    assert reverse("recaps:read", args=[posted_still.clip.lesson_id]) in page


def test_a_caution_stands_near_angles_only(as_student: Client, posted_still: Still):
    assert "shows no depth" not in as_student.get(address(posted_still)).content.decode()
    save_marks(posted_still, 0, [ANGLE])
    assert "shows no depth" in as_student.get(address(posted_still)).content.decode()


def test_a_guardian_sees_the_stills_of_their_child(as_guardian: Client, junior: object):
    lesson = factories.LessonFactory(student=junior, posted=True)
    still = factories.StillFactory(clip=factories.ClipFactory(lesson=lesson, ready=True))
    assert as_guardian.get(address(still)).status_code == 200


def test_a_student_does_not_see_it_before_the_lesson_is_posted(as_student: Client, still: Still):
    assert as_student.get(address(still)).status_code == 404


@pytest.mark.parametrize("who", ["as_other_student", "as_guardian", "as_other_coach"])
def test_it_refuses_strangers(request: pytest.FixtureRequest, posted_still: Still, who: str):
    client = request.getfixturevalue(who)
    assert client.get(address(posted_still)).status_code == 404


def test_a_removed_still_is_gone(as_coach: Client, still: Still):
    still.remove()
    assert as_coach.get(address(still)).status_code == 404


def test_it_sends_nobody_to_the_sign_in(as_nobody: Client, posted_still: Still):
    assert as_nobody.get(address(posted_still)).status_code == 302


def test_it_refuses_other_methods(as_coach: Client, still: Still):
    assert as_coach.post(address(still)).status_code == 405
