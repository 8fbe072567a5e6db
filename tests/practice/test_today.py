"""Today's page: what to do now, and when nothing is asked."""

from __future__ import annotations

import datetime

import pytest
import time_machine
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from lessons.drills.models import Assignment
from lessons.practice.models import PracticeTime, Rest
from lessons.practice.today import Today, newest_lesson, todays_page
from lessons.students.models import Guardian, Student
from lessons.visits.models import Lesson
from tests import factories

URL = "/today/"
LESSON = datetime.date(2025, 5, 1)
VISIT = datetime.date(2025, 5, 29)


def text(answer) -> str:
    return " ".join(answer.content.decode().split())


@pytest.fixture
def old_lesson(student: Student) -> Lesson:
    """Of Thursday 1 May, posted the same day, with three drills."""
    with time_machine.travel(datetime.datetime(2025, 5, 1, 17, tzinfo=datetime.UTC)):
        lesson = factories.LessonFactory(
            student=student, date=LESSON, next_visit=VISIT, posted=True
        )
        factories.RecapFactory(lesson=lesson)
        for name, days in (("sway gate", 5), ("feet together", 3), ("ladder", 2)):
            factories.AssignmentFactory(
                lesson=lesson, name=name, days_a_week=days, sets=None, reps=None, minutes=8
            )
        return lesson


def on(day: int, month: int = 5) -> time_machine.travel:
    return time_machine.travel(datetime.datetime(2025, month, day, 12, tzinfo=datetime.UTC))


def seen(lesson: Lesson) -> Today:
    user = lesson.student.user
    found = newest_lesson(lesson.student, user)
    assert found == lesson
    return todays_page(found, user)


def test_it_says_what_to_do_and_how_long_it_takes(as_student: Client, old_lesson: Lesson):
    with on(2):
        answer = as_student.get(URL)
    page = text(answer)
    assert "2 drills, about 16 minutes" in page
    assert "Start practice" in page
    assert "Turn around the trail hip" in page
    assert "27 days until your next lesson" in page
    assert "Feel like more?" in page


HEADLINES = [
    ("the lesson's own day", (1, 5), "Your drills begin tomorrow"),
    ("a day of practice", (2, 5), "2 drills, about 16 minutes"),
    ("the last day before the visit", (28, 5), "about"),
    ("the visit's day", (29, 5), "Your lesson is today"),
    ("after it", (30, 5), "These drills are over"),
]


@pytest.mark.parametrize(("said", "day", "headline"), HEADLINES, ids=[row[0] for row in HEADLINES])
def test_its_headline(old_lesson: Lesson, said: str, day: tuple[int, int], headline: str):
    with on(*day):
        assert headline in seen(old_lesson).headline


def test_a_lesson_posted_days_later_begins_the_day_after_it_was_posted(student: Student):
    with on(6):
        lesson = factories.LessonFactory(
            student=student, date=LESSON, next_visit=VISIT, posted=True
        )
        factories.AssignmentFactory(lesson=lesson, days_a_week=7)
        assert seen(lesson).headline == "Your drills begin tomorrow"
    with on(7):
        assert seen(lesson).headline.startswith("1 drill")


def test_a_moved_visit_moves_the_end_of_the_plan(old_lesson: Lesson):
    with on(20):
        assert seen(old_lesson).days[-1].day == datetime.date(2025, 5, 28)
        Lesson.objects.filter(pk=old_lesson.pk).update(next_visit=datetime.date(2025, 6, 10))
        assert seen(old_lesson).days[-1].day == datetime.date(2025, 6, 9)
        Lesson.objects.filter(pk=old_lesson.pk).update(next_visit=datetime.date(2025, 5, 20))
        assert seen(old_lesson).headline == "Your lesson is today"


def test_a_drill_taken_away_leaves_the_page_at_once(as_student: Client, old_lesson: Lesson):
    with on(9):
        assert "ladder" in text(as_student.get(URL))
        Assignment.objects.filter(name="ladder").update(removed_at=timezone.now())
        assert "ladder" not in text(as_student.get(URL))


def test_the_minutes_that_were_said_bound_the_day(old_lesson: Lesson):
    with on(2):
        assert len(seen(old_lesson).planned) == 2
        PracticeTime.objects.create(student=old_lesson.student, minutes=10)
        assert len(seen(old_lesson).planned) == 1


def test_it_says_done_when_all_of_today_is(as_student: Client, old_lesson: Lesson):
    with on(2):
        for one in seen(old_lesson).planned:
            factories.LogFactory(assignment=one.drill.assignment, day=datetime.date(2025, 5, 2))
        page = text(as_student.get(URL))
    assert "Done for today" in page
    assert "Do it once more" in page


def test_a_day_of_rest_asks_for_nothing_and_says_so_kindly(as_student: Client, old_lesson: Lesson):
    rest = {"first": datetime.date(2025, 5, 2), "last": datetime.date(2025, 5, 5)}
    Rest.objects.create(student=old_lesson.student, why="hurt", **rest)
    with on(3):
        page = text(as_student.get(URL))
        assert seen(old_lesson).planned == []
    assert "Resting until Monday 5 May" in page
    assert "nothing adds up meanwhile" in page
    assert "doctor or physiotherapist" in page
    assert "I am back" in page


def test_without_a_lesson_it_says_what_comes(as_student: Client):
    page = text(as_student.get(URL))
    assert "Nothing to practise yet" in page
    assert "has posted a lesson" in page


def test_a_guardian_reads_the_juniors_and_chooses_between_two(
    as_guardian: Client, guardian: Guardian, juniors_drill: Assignment
):
    assert juniors_drill.name in text(as_guardian.get(URL))
    sibling = factories.JuniorFactory(coach=guardian.student.coach, name="Zoe")
    factories.GuardianFactory(student=sibling, user=guardian.user)
    answer = as_guardian.get(URL, {"student": sibling.pk})
    assert "Nothing to practise yet" in text(answer)
    assert juniors_drill.lesson.student.name in text(answer)


def test_another_students_page_is_not_found(as_student: Client, other_student: Student):
    assert as_student.get(URL, {"student": other_student.pk}).status_code == 404
    assert as_student.get(URL, {"student": "x"}).status_code == 404


def test_a_coach_has_no_page_of_today(as_coach: Client):
    assert as_coach.get(URL).status_code == 404


def test_the_signed_out_are_sent_to_sign_in(as_nobody: Client):
    assert as_nobody.get(URL).status_code == 302


def test_it_takes_no_post(as_student: Client):
    assert as_student.post(URL).status_code == 405


def test_it_asks_the_same_number_of_questions_for_any_number_of_drills(
    as_student: Client, old_lesson: Lesson, django_assert_max_num_queries
):
    with on(2), django_assert_max_num_queries(16):
        as_student.get(URL)
    with on(2):
        for _ in range(8):
            factories.AssignmentFactory(lesson=old_lesson)
    with on(3), django_assert_max_num_queries(16):
        as_student.get(URL)


def test_a_tap_without_javascript_comes_back_to_it(as_student: Client, old_lesson: Lesson):
    drill = old_lesson.assignments.first()
    data = {
        "client_id": "6a9a4d26-5a0a-4c6e-a7f5-2f3e1b1f0c11",
        "when": "today",
        "from": "today",
    }
    with on(2):
        answer = as_student.post(reverse("practice:log", args=[drill.pk]), data)
    assert answer.url == f"{URL}?student={old_lesson.student.pk}"
