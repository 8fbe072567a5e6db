"""visits:desk, the coach's three columns."""

from __future__ import annotations

from django.test import Client
from django.urls import reverse

from lessons.students.models import Student
from lessons.visits.models import Lesson
from tests import factories


def address(lesson: Lesson) -> str:
    return reverse("visits:desk", args=[lesson.pk])


def test_it_shows_clips_stage_and_page(as_coach: Client, lesson: Lesson):
    page = as_coach.get(address(lesson)).content.decode()
    assert lesson.theme in page
    assert lesson.student.name in page
    for part in ('id="desk-clips"', 'id="stage"', 'id="desk-write"', 'id="shelf"'):
        assert part in page
    assert page.count("<html") == 1


def test_an_empty_lesson_says_how_to_begin(as_coach: Client, lesson: Lesson):
    assert "Begin with a clip" in as_coach.get(address(lesson)).content.decode()


def test_it_opens_with_the_first_ready_clip(as_coach: Client, lesson: Lesson):
    factories.ClipFactory(lesson=lesson)
    clip = factories.ClipFactory(lesson=lesson, ready=True, club="7-iron")
    page = as_coach.get(address(lesson)).content.decode()
    assert "<clip-player" in page
    assert reverse("clips:file", args=[clip.pk, "watch"]) in page


def test_htmx_gets_the_stage_alone(as_coach: Client, lesson: Lesson):
    headers = {"HX-Request": "true", "HX-Target": "stage"}
    answer = as_coach.get(address(lesson), headers=headers)
    page = answer.content.decode()
    assert "Begin with a clip" in page
    assert "<html" not in page
    assert "HX-Target" in answer["Vary"]


def test_it_shows_the_students_cautions(as_coach: Client, lesson: Lesson):
    Student.objects.filter(pk=lesson.student_id).update(cautions="Bad left knee")
    assert "Bad left knee" in as_coach.get(address(lesson)).content.decode()


def test_it_refuses_another_coach(as_other_coach: Client, lesson: Lesson):
    assert as_other_coach.get(address(lesson)).status_code == 404


def test_it_refuses_the_student_of_a_posted_lesson(as_student: Client, posted_lesson: Lesson):
    assert as_student.get(address(posted_lesson)).status_code == 404


def test_it_sends_the_signed_out_to_sign_in(as_nobody: Client, lesson: Lesson):
    assert as_nobody.get(address(lesson)).status_code == 302


def test_it_refuses_another_method(as_coach: Client, lesson: Lesson):
    assert as_coach.post(address(lesson)).status_code == 405
