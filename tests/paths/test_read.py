"""Paths in the recap, as the student reads them."""

from __future__ import annotations

from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from lessons.clips.models import Still
from lessons.paths.models import Path
from lessons.visits.models import Lesson
from tests import factories
from tests.marks.conftest import make_still


@pytest.fixture
def read(path: Path) -> str:
    """The address of the recap in which the path stands, with its trace on a still."""
    lesson = path.clip.lesson
    factories.RecapFactory(lesson=lesson)
    Path.objects.update(in_recap=True, still=make_still(lesson, clip=path.clip))
    return reverse("recaps:read", args=[lesson.pk])


def test_the_student_reads_trace_plot_and_words(as_student: Client, read: str):
    page = as_student.get(read).content.decode()
    assert "How you moved" in page
    assert 'class="path-way"' in page
    assert 'class="path-plot"' in page
    assert "toward the target" in page
    assert "shows no depth" in page
    assert "<path-viewer" not in page


def test_the_plot_says_its_numbers_to_those_who_dont_see_it(as_student: Client, read: str):
    page = as_student.get(read).content.decode()
    assert 'aria-label="Head, drift over time from P1: P1 ' in page


def test_only_what_the_coach_put_there_is_read(as_student: Client, read: str, path: Path):
    Path.objects.update(in_recap=False)
    assert "How you moved" not in as_student.get(read).content.decode()
    Path.objects.update(in_recap=True)
    path.remove()
    assert "How you moved" not in as_student.get(read).content.decode()


def test_one_that_is_followed_anew_is_read_once_it_is_done(as_student: Client, read: str):
    Path.objects.update(state=Path.State.FOLLOWING)
    assert "How you moved" not in as_student.get(read).content.decode()


def test_without_a_still_the_words_and_the_plot_are_read(as_student: Client, read: str):
    Path.objects.update(still=None)
    page = as_student.get(read).content.decode()
    assert "How you moved" in page
    assert 'class="path-way"' not in page


def test_a_still_without_a_name_has_that_of_its_position(as_student: Client, read: str, path: Path):
    """One pulled at an exact time, before the frame was known to be P1."""
    Still.objects.update(time_us=path.begin_us, position="", caption="")
    assert "On P1 address: the way of the head" in as_student.get(read).content.decode()


def test_the_start_of_the_lesson_is_read_first(as_student: Client, read: str, path: Path):
    for part in ("end", "start"):
        factories.PathFactory(
            swing__clip__lesson=path.clip.lesson,
            swing__clip__part=part,
            what=Path.What.HIP,
            ready=True,
            in_recap=True,
        )
    page = as_student.get(read).content.decode()
    assert page.index("Hip, start of the lesson") < page.index("Hip, end of the lesson")


def test_the_preview_is_what_the_student_reads(as_coach: Client, read: str):
    assert "How you moved" in as_coach.get(f"{read}?preview=1").content.decode()


@pytest.mark.parametrize("who", ["as_other_student", "as_guardian", "as_other_coach"])
def test_strangers_read_nothing(request: Any, read: str, who: str):
    assert request.getfixturevalue(who).get(read).status_code == 404


def test_visible_is_what_is_in_a_recap_that_one_sees(
    path: Path, draft_path: Path, student: Any, coach: Any, other_coach: Any, other_student: Any
):
    Path.objects.update(in_recap=True)
    assert set(Path.objects.visible_to(student.user)) == {path}
    assert set(Path.objects.visible_to(coach)) == {path, draft_path}
    assert not Path.objects.visible_to(other_coach)
    assert not Path.objects.visible_to(other_student.user)
    Path.objects.update(in_recap=False)
    assert not Path.objects.visible_to(student.user)


def test_more_paths_ask_no_more_of_the_database(
    as_student: Client, read: str, path: Path, django_assert_max_num_queries: Any
):
    lesson: Lesson = path.clip.lesson

    def add() -> None:
        factories.PathFactory(
            swing__clip__lesson=lesson, ready=True, in_recap=True, still=path.still
        )

    add()
    as_student.get(read)
    with CaptureQueriesContext(connection) as few:
        as_student.get(read)
    add()
    add()
    with django_assert_max_num_queries(len(few)):
        as_student.get(read)
