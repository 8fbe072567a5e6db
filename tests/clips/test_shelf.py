"""clips:shelf, the lesson's clips by part."""

from __future__ import annotations

import datetime

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from lessons.clips.models import Clip
from lessons.students.models import Student
from lessons.visits.models import Lesson
from tests import factories


def address(lesson: Lesson) -> str:
    return reverse("clips:shelf", args=[lesson.pk])


def test_it_shows_each_clip_in_its_part(as_coach: Client, lesson: Lesson):
    for part in ("end", "start"):
        factories.ClipFactory(lesson=lesson, ready=True, part=part, club=f"{part}-iron")
    page = as_coach.get(address(lesson)).content.decode()
    places = [
        page.index(words)
        for words in ('id="part-start"', "start-iron", 'id="part-middle"', "Add clips, or drop")
    ]
    assert places == sorted(places)
    assert page.index('id="part-end"') < page.index("end-iron")


def test_it_asks_again_only_while_a_worker_is_at_a_clip(as_coach: Client, lesson: Lesson):
    clip = factories.ClipFactory(lesson=lesson, state=Clip.State.PREPARING, progress_permille=365)
    page = as_coach.get(address(lesson)).content.decode()
    assert "every 2s" in page
    assert "36 %" in page
    Clip.objects.filter(pk=clip.pk).update(state=Clip.State.READY)
    assert "every 2s" not in as_coach.get(address(lesson)).content.decode()


def test_it_tells_an_empty_stage_when_nothing_is_under_way(as_coach: Client, lesson: Lesson):
    clip = factories.ClipFactory(lesson=lesson)
    assert "HX-Trigger" not in as_coach.get(address(lesson))
    Clip.objects.filter(pk=clip.pk).update(state=Clip.State.READY)
    assert as_coach.get(address(lesson))["HX-Trigger"] == "clips-settled"


def test_it_marks_the_clip_on_the_stage_also_when_it_asks_again(as_coach: Client, lesson: Lesson):
    first, second = (factories.ClipFactory(lesson=lesson, ready=True) for _ in range(2))
    shown = {
        "": first,  # the desk opens with the first one that is ready
        reverse("clips:clip", args=[second.pk]): second,
        reverse("visits:desk", args=[lesson.pk]): first,
    }
    for path, clip in shown.items():
        if path:
            current = {"HX-Request": "true", "HX-Current-URL": f"http://testserver{path}"}
            page = as_coach.get(address(lesson), headers=current).content.decode()
        else:
            page = as_coach.get(reverse("visits:desk", args=[lesson.pk])).content.decode()
        shelf = page[page.index('id="shelf"') :]
        before = shelf[: shelf.index('aria-current="page"')]
        assert before.rpartition('id="clip-')[2].startswith(f'{clip.pk}"')


def test_a_rejected_clip_is_seen_as_such(as_coach: Client, lesson: Lesson):
    factories.ClipFactory(lesson=lesson, state=Clip.State.REJECTED)
    assert "Not taken" in as_coach.get(address(lesson)).content.decode()


def test_undo_is_offered_for_a_while(as_coach: Client, lesson: Lesson):
    clip = factories.ClipFactory(lesson=lesson, ready=True)
    clip.remove()
    assert "Undo" in as_coach.get(address(lesson)).content.decode()
    long_ago = timezone.now() - datetime.timedelta(hours=1)
    Clip.objects.filter(pk=clip.pk).update(removed_at=long_ago)
    assert "Undo" not in as_coach.get(address(lesson)).content.decode()


def test_without_consent_the_desk_says_so_and_offers_no_way_to_add(
    as_coach: Client, junior: Student
):
    lesson = factories.LessonFactory(student=junior)
    page = as_coach.get(reverse("visits:desk", args=[lesson.pk])).content.decode()
    assert "no guardian's consent is on record" in page
    assert reverse("students:student", args=[junior.pk]) in page
    assert "data-add>" not in page


@pytest.mark.parametrize("who", ["as_other_coach", "as_student", "as_guardian"])
def test_it_refuses_all_but_the_coach(
    who: str, request: pytest.FixtureRequest, posted_lesson: Lesson
):
    assert request.getfixturevalue(who).get(address(posted_lesson)).status_code == 404


def test_it_sends_the_signed_out_to_sign_in(as_nobody: Client, lesson: Lesson):
    assert as_nobody.get(address(lesson)).status_code == 302


def test_it_refuses_another_method(as_coach: Client, lesson: Lesson):
    assert as_coach.post(address(lesson)).status_code == 405
