"""board:brief, what the coach reads before the next visit."""

from __future__ import annotations

import re

import pytest
import time_machine
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from lessons.board.brief import brief_of
from lessons.board.models import Nudge
from lessons.marks.models import MarkSet
from lessons.questions.models import Message, Thread
from lessons.recaps.models import RecapStill
from lessons.students.models import Student
from portal.accounts.models import User
from tests import factories
from tests.board.conftest import ago, practised, taught


@pytest.fixture(autouse=True)
def _noon():
    with time_machine.travel("2025-05-15T12:00:00+00:00", tick=False):
        yield


def page_of(student: Student) -> str:
    return reverse("board:brief", args=[student.pk])


def words(client: Client, student: Student) -> str:
    html = client.get(page_of(student)).content.decode()
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", html))


def test_it_tells_what_was_set_and_done_by_day(as_coach: Client, student: Student):
    lesson = taught(student, 10, next_visit=ago(-5))
    practised(lesson, "feet together", 9, 7, 6, 3, 1)
    found = brief_of(student)
    by_name = {drill.given.name: drill for drill in found.drills}
    assert by_name["feet together"].ruler.practised_days == 5
    # 9 days over * 5 / 7 = 6.4 days' doses due
    assert by_name["feet together"].words == "5 of 9 days; 5 of 6.4 days' doses"
    assert by_name["sway gate"].words == "0 of 9 days; 0 of 6.4 days' doses"
    page = words(as_coach, student)
    assert "Next visit on Tuesday 20 May, in 5 days" in page
    assert "Left aside: sway gate." in page
    assert "Turn around the trail hip" in page
    assert as_coach.get(page_of(student)).content.decode().count('class="ruler"') == 2


def test_pain_stands_first_with_care(as_coach: Client, student: Student):
    lesson = taught(student, 10)
    practised(lesson, "sway gate", 2, hurt=True, note="Lower back, left.")
    first = brief_of(student).first[0]
    assert first.startswith("Something hurt, last on Tuesday: sway gate.")
    assert "physiotherapist" in first
    assert "Lower back, left." in words(as_coach, student)


def test_open_findings_are_to_check_and_held_ones_not(as_coach: Client, student: Student):
    recap = taught(student, 10).recap
    factories.FindingFactory(recap=recap, what="The hips slide", standing="better")
    factories.FindingFactory(recap=recap, what="The grip", standing="holding")
    page = words(as_coach, student)
    assert "The hips slide better" in page
    assert "The grip" not in page


def test_cautions_stand_above_all(as_coach: Client, student: Student):
    student.cautions = "Shoulder operation last year."
    student.save()
    taught(student, 3)
    page = words(as_coach, student)
    assert page.index("Shoulder operation") < page.index("Check first")


def test_measures_on_the_recaps_stills_are_told_with_care(as_coach: Client, student: Student):
    lesson = taught(student, 3)
    still = factories.StillFactory(clip=factories.ClipFactory(lesson=lesson, ready=True))
    corner = {
        "id": "a",
        "kind": "angle",
        "points": [[0, 300], [0, 0], [300, 0]],
        "colour": "orange",
    }
    MarkSet.objects.create(still=still, marks=[corner])
    RecapStill.objects.create(recap=lesson.recap, still=still, caption="At the top")
    page = words(as_coach, student)
    # u sqrt(2 / A^2 + 2 / B^2) radians with u = 3 px, A = B = 300 px: 1.1 degrees
    assert "At the top start 90° ±1°" in page
    assert "One camera misreads depth" in page


def test_a_drill_taken_away_is_shown_as_one(as_coach: Client, student: Student):
    lesson = taught(student, 9)
    lesson.assignments.filter(name="feet together").update(removed_at=timezone.now())
    assert "feet together taken off the list" in words(as_coach, student)


def test_questions_are_told_the_new_ones_first(as_coach: Client, student: Student):
    taught(student, 3)
    for text, by in (("Which foot?", student.user), ("The left one.", student.coach)):
        thread = Thread.objects.create(student=student, about=Thread.About.RECAP)
        Message.objects.create(thread=thread, by=by, by_name=by.name, text=text)
    page = words(as_coach, student)
    assert "1 question not read yet." in page
    assert page.index("Which foot?") < page.index("The left one.")


def test_what_was_sent_since_the_lesson_is_told(as_coach: Client, student: Student, coach: User):
    taught(student, 3)
    nudge = Nudge.objects.create(student=student, by=coach, text="One set counts.")
    nudge.sent_to.add(student.user)
    assert "One set counts." in words(as_coach, student)


def test_without_a_posted_lesson_it_says_so(as_coach: Client, student: Student):
    factories.LessonFactory(student=student)
    assert "No lesson is posted yet" in words(as_coach, student)


def test_the_number_of_queries_does_not_grow(student: Student, django_assert_max_num_queries):
    lesson = taught(student, 10)
    for number in range(8):
        factories.AssignmentFactory(lesson=lesson, name=f"drill {number}")
        factories.FindingFactory(recap=lesson.recap)
        practised(lesson, f"drill {number}", 3, 2, 1, note="Fine", felt=4)
    with django_assert_max_num_queries(20):
        brief_of(student)


def test_it_refuses_another_coach(as_other_coach: Client, student: Student):
    assert as_other_coach.get(page_of(student)).status_code == 404


def test_it_refuses_the_student_and_the_guardian(
    as_student: Client, as_guardian: Client, student: Student, junior: Student
):
    assert as_student.get(page_of(student)).status_code == 404
    assert as_guardian.get(page_of(junior)).status_code == 404


def test_it_asks_the_signed_out_to_sign_in(as_nobody: Client, student: Student):
    assert reverse("account_login") in as_nobody.get(page_of(student))["Location"]


def test_it_refuses_post(as_coach: Client, student: Student):
    assert as_coach.post(page_of(student)).status_code == 405


def test_it_tells_the_tempo_of_each_part_by_the_swing_to_keep(student: Student):
    lesson = taught(student, 10)
    begun = factories.ClipFactory(lesson=lesson, ready=True, part="start")
    ended = factories.ClipFactory(lesson=lesson, ready=True, part="end")
    factories.SwingFactory(clip=ended)
    factories.SwingFactory(clip=begun, top_us=1_000_000)
    # 0.75 s and 0.25 s
    factories.SwingFactory(
        clip=begun, begin_us=5_000_000, top_us=5_750_000, strike_us=6_000_000,
        finish_us=7_000_000, is_kept=True,
    )  # fmt: skip
    factories.SwingFactory(strike_us=None)
    told = [(one.part, one.words) for one in brief_of(student).measured]
    assert [part for part, _ in told] == ["start", "end"]
    assert told[0][1].startswith("0.75 s back, 0.25 s down, 3.0 ±")
