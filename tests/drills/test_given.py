"""One given drill, as its student reads it."""

from __future__ import annotations

import pytest
from django.urls import reverse
from django.utils import timezone

from lessons.clips.models import Clip
from tests import factories
from tests.conftest import signed_in


@pytest.fixture
def given(posted_lesson):
    clip = factories.ClipFactory(lesson=None, coach=posted_lesson.student.coach, ready=True)
    return factories.AssignmentFactory(
        lesson=posted_lesson, name="Sway gate", note="Without a ball at first.", clip=clip
    )


@pytest.fixture
def url(given):
    return reverse("drills:given", args=[given.pk])


def test_the_student_reads_the_words_the_note_the_dose_and_the_cautions(as_student, url):
    page = as_student.get(url).content.decode()
    for words in ("Sway gate", "Without a ball at first.", "3 x 10, 5 days a week"):
        assert words in page
    for caution in ("room to swing", "Stop if anything hurts", "physiotherapist", "an adult"):
        assert caution in page


def test_the_student_sees_the_clip_of_a_drill_they_were_given(student, other_student, given):
    assert Clip.objects.visible_to(student.user).filter(pk=given.clip_id).exists()
    assert not Clip.objects.visible_to(other_student.user).filter(pk=given.clip_id).exists()


def test_the_guardian_of_a_junior_reads_it_too(guardian):
    lesson = factories.LessonFactory(student=guardian.student, posted=True)
    given = factories.AssignmentFactory(lesson=lesson)
    url = reverse("drills:given", args=[given.pk])
    assert signed_in(guardian.user).get(url).status_code == 200


def test_it_is_not_there_for_others(as_other_student, as_other_coach, as_nobody, url):
    assert as_other_student.get(url).status_code == 404
    assert as_other_coach.get(url).status_code == 404
    assert as_nobody.get(url).status_code == 302


def test_it_is_not_there_before_the_lesson_is_posted(as_student, lesson):
    given = factories.AssignmentFactory(lesson=lesson)
    assert as_student.get(reverse("drills:given", args=[given.pk])).status_code == 404


def test_it_is_not_there_once_it_was_taken_back(as_student, url, given):
    given.removed_at = timezone.now()
    given.save()
    assert as_student.get(url).status_code == 404


def test_it_only_reads(as_student, url):
    assert as_student.post(url).status_code == 405
