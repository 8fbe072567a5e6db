"""What is still open comes over from the last lesson."""

from __future__ import annotations

import datetime

import pytest

from lessons.recaps.carrying import lesson_before, recap_of
from lessons.recaps.models import Finding
from tests import factories

Standing = Finding.Standing


@pytest.fixture
def last_lesson(student):
    return factories.LessonFactory(student=student, date=datetime.date(2026, 4, 1), posted=True)


@pytest.fixture
def next_lesson(student, last_lesson):
    return factories.LessonFactory(student=student, date=datetime.date(2026, 5, 1))


@pytest.mark.parametrize(
    ("stood", "stands"),
    [
        (Standing.NEW, Standing.WORKING),
        (Standing.WORKING, Standing.WORKING),
        (Standing.BETTER, Standing.BETTER),
    ],
)
def test_an_open_finding_comes_over(last_lesson, next_lesson, stood, stands):
    recap = factories.RecapFactory(lesson=last_lesson)
    old = factories.FindingFactory(recap=recap, standing=stood, why="Late", ball="Heavy")
    new = recap_of(next_lesson).findings.get()
    assert (new.what, new.why, new.ball) == (old.what, "Late", "Heavy")
    assert (new.standing, new.came_from) == (stands, old)


def test_what_holds_stays_behind(last_lesson, next_lesson):
    recap = factories.RecapFactory(lesson=last_lesson)
    factories.FindingFactory(recap=recap, standing=Standing.HOLDING)
    factories.FindingFactory(recap=recap, what="")
    assert not recap_of(next_lesson).findings.exists()


def test_it_happens_once(last_lesson, next_lesson):
    factories.FindingFactory(recap=factories.RecapFactory(lesson=last_lesson))
    recap_of(next_lesson).findings.all().delete()
    assert not recap_of(next_lesson).findings.exists()


def test_it_comes_from_the_lesson_before_not_from_a_later_or_anothers(
    student, other_student, last_lesson, next_lesson
):
    later = factories.LessonFactory(student=student, date=datetime.date(2026, 6, 1))
    anothers = factories.LessonFactory(student=other_student, date=datetime.date(2026, 4, 20))
    for lesson in (later, anothers):
        factories.FindingFactory(recap=factories.RecapFactory(lesson=lesson))
    assert not recap_of(next_lesson).findings.exists()
    assert lesson_before(next_lesson) == last_lesson
    assert lesson_before(last_lesson) is None


def test_two_lessons_of_one_day_follow_their_numbers(student):
    day = datetime.date(2026, 4, 1)
    first = factories.LessonFactory(student=student, date=day)
    second = factories.LessonFactory(student=student, date=day)
    assert lesson_before(second) == first
    assert lesson_before(first) is None


def test_the_editor_says_how_it_stood(as_coach, last_lesson, next_lesson):
    recap = factories.RecapFactory(lesson=last_lesson)
    factories.FindingFactory(recap=recap, standing=Standing.BETTER)
    page = as_coach.get(f"/lessons/{next_lesson.pk}/recap/").content.decode()
    assert f"Lesson {last_lesson.number}: better" in page
