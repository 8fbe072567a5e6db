"""What practice shows on the student's lesson page."""

from __future__ import annotations

import datetime
import re

import pytest
from django.contrib.auth.models import AnonymousUser
from django.template import RequestContext, Template
from django.test import Client, RequestFactory
from django.urls import reverse
from django.utils import timezone

from lessons.drills.models import Assignment
from lessons.practice.models import Log
from lessons.visits.models import Lesson
from portal.accounts.models import User
from tests import factories

DAY = datetime.timedelta(days=1)


def shown(lesson: Lesson, user: User | AnonymousUser) -> str:
    """The slot as the page renders it for one reader."""
    request = RequestFactory().get("/")
    request.user = user
    template = Template('{% load slots %}{% slot "read.practice" lesson %}')
    html = template.render(RequestContext(request, {"lesson": lesson, "request": request}))
    return re.sub(r"\s+", " ", html)


def test_it_shows_the_days_left_the_ruler_and_each_drill(given: Assignment):
    second = factories.AssignmentFactory(lesson=given.lesson)
    page = shown(given.lesson, given.lesson.student.user)
    assert "28 days until your next lesson" in page
    assert 'role="img"' in page
    assert page.count("Done today</button>") == 2
    for one in (given, second):
        assert one.name in page
        assert reverse("drills:given", args=[one.pk]) in page
    assert given.dose in page
    assert "0 of 5 days this week" in page


def test_each_form_has_its_own_mark(given: Assignment):
    factories.AssignmentFactory(lesson=given.lesson)
    page = shown(given.lesson, given.lesson.student.user)
    marks = re.findall(r'name="client_id" value="([0-9a-f-]{36})"', page)
    assert len(marks) == len(set(marks)) == 2


def test_it_gives_the_usual_cautions_and_a_word_for_the_hurt(given: Assignment):
    Assignment.objects.filter(pk=given.pk).update(caution="Half speed only.")
    page = shown(given.lesson, given.lesson.student.user)
    assert "Half speed only." in page
    assert "I am hurt, or resting" in page
    assert "Stop on pain; ask a doctor or physiotherapist" in page


def test_it_leaves_out_drills_that_were_taken_away(given: Assignment):
    Assignment.objects.filter(pk=given.pk).update(removed_at=timezone.now())
    page = shown(given.lesson, given.lesson.student.user)
    assert given.name not in page
    assert "No drills this time" in page


def test_it_shows_the_drills_picture_once_its_clip_is_ready(given: Assignment):
    clip = factories.ClipFactory(lesson=given.lesson)
    Assignment.objects.filter(pk=given.pk).update(clip=clip)
    poster = reverse("clips:file", args=[clip.pk, "poster"])
    student = given.lesson.student.user
    assert poster not in shown(given.lesson, student)
    type(clip).objects.filter(pk=clip.pk).update(state="ready")
    assert poster in shown(given.lesson, student)


def test_it_tells_how_far_today_is(given: Assignment):
    student = given.lesson.student.user
    second = factories.AssignmentFactory(lesson=given.lesson)
    assert "2 drills today" in shown(given.lesson, student)
    factories.LogFactory(assignment=given)
    assert "1 of 2 drills done today" in shown(given.lesson, student)
    factories.LogFactory(assignment=second)
    page = shown(given.lesson, student)
    assert "All drills done today" in page


def test_it_never_blames(given: Assignment):
    Lesson.objects.filter(pk=given.lesson.pk).update(date=timezone.localdate() - 20 * DAY)
    given.lesson.refresh_from_db()
    page = shown(given.lesson, given.lesson.student.user).lower()
    for word in ("streak", "missed", "are behind", "only 0", "!"):
        assert word not in re.sub(r"<[^>]*>", "", page)


@pytest.mark.parametrize(
    ("next_visit", "words"),
    [
        (0, "Your next lesson is today"),
        (1, "1 day until your next lesson"),
        (None, "No date yet for your next lesson"),
        (-1, "The time for these drills is over"),
    ],
)
def test_it_says_how_long_it_is(given: Assignment, next_visit: int | None, words: str):
    today = timezone.localdate()
    lesson = given.lesson
    lesson.date = today - 5 * DAY
    lesson.next_visit = None if next_visit is None else today + next_visit * DAY
    lesson.save()
    assert words in shown(lesson, lesson.student.user)


def test_an_older_lesson_shows_its_drills_without_buttons(given: Assignment):
    factories.LessonFactory(student=given.lesson.student, posted=True)
    page = shown(given.lesson, given.lesson.student.user)
    assert "You have had a lesson since" in page
    assert "<button" not in page


def test_the_coach_sees_it_without_forms(lesson: Lesson, coach: User):
    factories.AssignmentFactory(lesson=lesson)
    page = shown(lesson, coach)
    assert ">Done today</span>" in page
    assert "<form" not in page


def test_it_asks_the_same_few_questions_for_any_number_of_drills(
    given: Assignment, django_assert_num_queries
):
    student = given.lesson.student.user
    for _ in range(5):
        factories.LogFactory(assignment=factories.AssignmentFactory(lesson=given.lesson))
    lesson = Lesson.objects.select_related("student__user", "student__coach").get(
        pk=given.lesson.pk
    )
    with django_assert_num_queries(4):
        shown(lesson, student)


def test_the_coach_reads_the_history_on_the_students_page(
    given: Assignment, log: Log, coach: User, as_coach: Client
):
    Log.objects.filter(pk=log.pk).update(felt=2, note="Hips still slide.", hurt=True)
    request = RequestFactory().get("/")
    request.user = coach
    template = Template('{% load slots %}{% slot "student.page" student %}')
    context = {"student": given.lesson.student, "request": request}
    page = template.render(RequestContext(request, context))
    for words in ("Hips still slide.", "felt hard", "Something hurt.", given.name, "1 log"):
        assert words in page
