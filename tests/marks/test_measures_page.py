"""The table of measures on the desk and in the recap: GET and POST /lessons/<pk>/measures/."""

from __future__ import annotations

from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from lessons.clips.models import Still
from lessons.marks.comparing import keep_table
from lessons.marks.models import MeasureTable
from lessons.marks.service import save_marks
from lessons.visits.models import Lesson
from tests import factories
from tests.marks.conftest import line, make_still


def address(lesson: Lesson) -> str:
    return reverse("marks:measures", args=[lesson.pk])


def measured(lesson: Lesson, name: str = "Spine") -> Still:
    still = make_still(lesson)
    save_marks(still, 0, [line(points=[[200, 400], [200, 100]], text=name, shows="upright")])
    return still


def test_it_compares_all_measured_stills_until_some_are_chosen(
    as_coach: Client, lesson: Lesson, still: Still
):
    first, second = measured(lesson), measured(lesson)
    page = as_coach.get(address(lesson)).content.decode()
    assert "<lesson-desk" in page
    links = [f'<a href="{reverse("marks:still", args=[s.pk])}"' for s in (first, second, still)]
    assert [link in page for link in links] == [True, True, False]
    assert "within the marking error" in page
    answer = as_coach.post(address(lesson), {"stills": [first.pk], "in_recap": "on"})
    assert answer["Location"] == address(lesson)
    page = as_coach.get(address(lesson)).content.decode()
    assert [link in page for link in links] == [True, False, False]


def test_it_answers_htmx_with_the_stage(as_coach: Client, lesson: Lesson):
    still = measured(lesson)
    headers = {"HX-Request": "true", "HX-Target": "stage"}
    answer = as_coach.post(address(lesson), {"stills": [still.pk]}, headers=headers)
    page = answer.content.decode()
    assert "<html" not in page
    assert "Saved" in page


def test_it_says_how_to_begin(as_coach: Client, lesson: Lesson):
    assert "Nothing to compare yet" in as_coach.get(address(lesson)).content.decode()


@pytest.mark.parametrize("sent", ["x", "999999"])
def test_it_refuses_bad_input(as_coach: Client, lesson: Lesson, sent: str):
    answer = as_coach.post(address(lesson), {"stills": [sent]})
    assert answer.status_code == 422
    assert 'role="alert"' in answer.content.decode()
    assert not MeasureTable.objects.exists()


def test_it_refuses_a_still_of_another_lesson(as_coach: Client, lesson: Lesson):
    other = make_still(factories.LessonFactory(student=lesson.student))
    answer = as_coach.post(address(lesson), {"stills": [other.pk]})
    assert answer.status_code == 422
    assert "is gone" in answer.content.decode()


def test_the_student_reads_it_once_it_is_in_the_recap(
    as_student: Client, as_coach: Client, posted_lesson: Lesson
):
    factories.RecapFactory(lesson=posted_lesson)
    stills = [measured(posted_lesson, "Spine <b>"), measured(posted_lesson, "Spine <b>")]
    read = reverse("recaps:read", args=[posted_lesson.pk])
    keep_table(posted_lesson, stills, in_recap=False)
    assert "What we measured" not in as_student.get(read).content.decode()
    keep_table(posted_lesson, stills, in_recap=True)
    page = as_student.get(read).content.decode()
    assert "What we measured" in page
    assert "Spine &lt;b&gt;" in page
    assert "shows no depth" in page
    stills[1].remove()
    assert "not measured" not in as_student.get(read).content.decode()
    assert "What we measured" in as_coach.get(f"{read}?preview=1").content.decode()


def test_an_empty_table_is_not_in_the_recap(as_student: Client, posted_lesson: Lesson):
    factories.RecapFactory(lesson=posted_lesson)
    keep_table(posted_lesson, [], in_recap=True)
    read = reverse("recaps:read", args=[posted_lesson.pk])
    assert "What we measured" not in as_student.get(read).content.decode()


@pytest.mark.parametrize("who", ["as_student", "as_other_student", "as_guardian", "as_other_coach"])
def test_it_is_for_the_coach_alone(request: pytest.FixtureRequest, posted_lesson: Lesson, who: str):
    client = request.getfixturevalue(who)
    assert client.get(address(posted_lesson)).status_code == 404
    assert client.post(address(posted_lesson)).status_code == 404


def test_it_refuses_other_methods_and_nobody(as_coach: Client, as_nobody: Client, lesson: Lesson):
    assert as_coach.put(address(lesson)).status_code == 405
    assert as_nobody.get(address(lesson)).status_code == 302


def test_more_measured_stills_ask_no_more_of_the_database(
    as_student: Client, posted_lesson: Lesson, django_assert_max_num_queries: Any
):
    recap = factories.RecapFactory(lesson=posted_lesson)
    read = reverse("recaps:read", args=[posted_lesson.pk])

    def show(count: int) -> None:
        for number in range(count):
            recap.stills.create(still=measured(posted_lesson), order=number)
        keep_table(posted_lesson, [put.still for put in recap.stills.all()], in_recap=True)

    show(2)
    as_student.get(read)
    with CaptureQueriesContext(connection) as few:
        as_student.get(read)
    show(4)
    with django_assert_max_num_queries(len(few)):
        as_student.get(read)
