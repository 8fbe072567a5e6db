"""programmes:road, from the first lesson of a programme to now."""

from __future__ import annotations

import datetime
import re

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from lessons.clips.models import Clip, Still
from lessons.programmes.models import Programme
from lessons.programmes.road import road_of
from lessons.recaps.models import RecapStill
from lessons.students.models import Guardian, Student
from lessons.visits.models import Lesson
from tests import factories
from tests.programmes.conftest import day, lesson_of


def page_of(programme: Programme) -> str:
    return reverse("programmes:road", args=[programme.pk])


def words(client: Client, programme: Programme) -> str:
    html = client.get(page_of(programme)).content.decode()
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", html))


def still_at(lesson: Lesson, position: str, part: str = "end", view: str = "face-on") -> Still:
    clip = factories.ClipFactory(lesson=lesson, ready=True, part=part, view=view)
    still = factories.StillFactory(clip=clip, position=position, state=Still.State.READY)
    RecapStill.objects.create(recap=lesson.recap, still=still)
    return still


def test_it_says_which_lesson_of_how_many(as_coach: Client, programme: Programme, student: Student):
    assert "No lesson posted yet, 6 lessons planned" in words(as_coach, programme)
    for days_ago in (60, 40, 20):
        lesson_of(student, days_ago)
    factories.LessonFactory(student=student)  # a draft is not on the road
    page = words(as_coach, programme)
    assert "Lesson 3 of 6" in page
    assert "Point of lesson 2" in page


def test_only_its_own_lessons_are_on_it(programme: Programme, student: Student):
    lesson_of(student, 90)
    on_it = [lesson_of(student, days_ago) for days_ago in (70, 60, 50, 40)]
    Programme.objects.filter(pk=programme.pk).update(lessons_planned=3)
    programme.refresh_from_db()
    assert [stop.lesson for stop in road_of(programme).stops] == on_it[:3]
    Programme.objects.filter(pk=programme.pk).update(ended_on=day(60))
    programme.refresh_from_db()
    assert [stop.lesson for stop in road_of(programme).stops] == on_it[:2]


def test_findings_are_followed_from_opened_to_closed(programme: Programme, student: Student):
    first, second, third = (lesson_of(student, days_ago) for days_ago in (60, 40, 20))

    def stands(lesson: Lesson, what: str, standing: str, before=None):
        return factories.FindingFactory(
            recap=lesson.recap, what=what, standing=standing, came_from=before
        )

    grip = stands(second, "Grip", "working on it", stands(first, "Grip", "new"))
    stands(third, "Grip", "holding", grip)
    stands(third, "Sway", "better", stands(second, "Sway", "new"))
    stands(first, "Stance", "new")
    road = road_of(programme)
    assert {course.what: course.words for course in road.courses} == {
        "Grip": "Opened in lesson 1, holding since lesson 3",
        "Sway": "Opened in lesson 2, better now",
        "Stance": "Opened in lesson 1, last looked at in lesson 1",
    }
    assert [course.what for course in road.open_courses] == ["Sway"]


def test_the_same_position_stands_side_by_side(programme: Programme, student: Student):
    first, second = lesson_of(student, 60), lesson_of(student, 20)
    pictures = [
        still_at(first, "P4", part="start"),
        still_at(first, "P4", part="end"),
        still_at(second, "P4", part="start"),
        still_at(second, "P4", part="end"),
    ]
    still_at(second, "P4", part="middle")
    still_at(first, "P1")  # pictured once
    still_at(first, "P7", view=Clip.View.FACE_ON)
    still_at(second, "P7", view=Clip.View.DOWN_THE_LINE)  # another camera place
    [sight] = road_of(programme).sights
    assert sight.title == "P4 top, face-on"
    assert [shown.still for _, shown in sight.pictures] == pictures


def test_a_lessons_middle_is_shown_if_it_has_nothing_else(programme: Programme, student: Student):
    first, second = lesson_of(student, 60), lesson_of(student, 20)
    pictures = [still_at(first, "P4", part="middle"), still_at(second, "P4", part="end")]
    [sight] = road_of(programme).sights
    assert [shown.still for _, shown in sight.pictures] == pictures


def test_removed_and_waiting_stills_are_not_shown(programme: Programme, student: Student):
    first, second = lesson_of(student, 60), lesson_of(student, 20)
    still_at(first, "P4")
    Still.objects.filter(pk=still_at(second, "P4").pk).update(state=Still.State.WANTED)
    assert road_of(programme).sights == []


def test_the_share_of_each_lesson_is_drawn(as_coach: Client, programme: Programme, student):
    first = lesson_of(student, 60, next_visit=day(32))
    lesson_of(student, 46)
    given = factories.AssignmentFactory(lesson=first, days_a_week=7)
    type(given).objects.filter(pk=given.pk).update(created_at=first.posted_at)
    for days_ago in (59, 58, 57, 56, 55, 50, 40):
        factories.LogFactory(assignment=given, day=day(days_ago))
    road = road_of(programme)
    # Due on the 13 days between the two lessons, done on 6; the one after the second lesson
    # does not count
    assert [stop.percent for stop in road.stops] == [int(600 / 13), None]
    page = as_coach.get(page_of(programme)).content.decode()
    assert 'aria-label="Dose done. Lesson 1: 46 %; Lesson 2: nothing due."' in page
    assert 'style="' not in page


def test_the_student_reads_it_and_changes_nothing(
    as_student: Client, programme: Programme, student: Student
):
    lesson_of(student, 20)
    page = as_student.get(page_of(programme)).content.decode()
    assert "Lesson 1 of 6" in page
    assert "Start lines within ten metres" in page
    assert "<form" not in page[page.index("<main") :]
    assert reverse("programmes:edit", args=[programme.pk]) not in page


def test_the_guardian_of_a_junior_reads_it(as_guardian: Client, guardian: Guardian):
    theirs = Programme.objects.create(
        student=guardian.student, title="First steps", lessons_planned=3, begins_on=day(10)
    )
    assert "First steps" in words(as_guardian, theirs)


def test_a_draft_is_not_told_to_the_student(
    as_student: Client, programme: Programme, student: Student
):
    lesson_of(student, 20, posted_at=None)
    assert "Point of lesson 1" not in words(as_student, programme)


def test_the_lessons_page_leads_to_it(as_student: Client, programme: Programme, student: Student):
    before = lesson_of(student, 90)
    lesson_of(student, 50)
    lesson = lesson_of(student, 20)
    page = as_student.get(reverse("recaps:read", args=[lesson.pk])).content.decode()
    assert "Lesson 2 of 6" in page
    assert page_of(programme) in page
    earlier = as_student.get(reverse("recaps:read", args=[before.pk])).content.decode()
    assert page_of(programme) not in earlier


def test_the_coachs_page_about_the_student_leads_to_it(
    as_coach: Client, programme: Programme, student: Student
):
    page = as_coach.get(reverse("students:student", args=[student.pk])).content.decode()
    assert page_of(programme) in page


def test_the_number_of_queries_does_not_grow(
    programme: Programme, student: Student, django_assert_max_num_queries
):
    for number, days_ago in enumerate((60, 50, 40, 30, 20, 10)):
        lesson = lesson_of(student, days_ago)
        given = factories.AssignmentFactory(lesson=lesson)
        factories.LogFactory(assignment=given, day=day(days_ago - 2))
        factories.FindingFactory(recap=lesson.recap, what=f"Finding {number}")
        still_at(lesson, "P4")
    with django_assert_max_num_queries(10):
        road_of(Programme.objects.select_related("student__user").get(pk=programme.pk))


def test_it_refuses_strangers(
    as_other_coach: Client, as_other_student: Client, as_guardian: Client, programme: Programme
):
    for client in (as_other_coach, as_other_student, as_guardian):
        assert client.get(page_of(programme)).status_code == 404


def test_it_asks_the_signed_out_to_sign_in(as_nobody: Client, programme: Programme):
    assert reverse("account_login") in as_nobody.get(page_of(programme))["Location"]


def test_it_refuses_post(as_coach: Client, programme: Programme):
    assert as_coach.post(page_of(programme)).status_code == 405


@pytest.mark.parametrize("moved", [-1, 0, 3])
def test_an_ended_programme_never_ends_before_it_begins(programme: Programme, moved: int):
    today = programme.begins_on + datetime.timedelta(moved)
    assert programme.end(today)
    assert not programme.end(timezone.localdate())
    programme.refresh_from_db()
    assert programme.ended_on == max(today, programme.begins_on)
