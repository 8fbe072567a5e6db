"""board:board, the coach's first page."""

from __future__ import annotations

import datetime
import re

import pytest
import time_machine
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from lessons.board.choosing import PAGE_ROWS
from lessons.board.drift import RULE as DRIFT_RULE
from lessons.board.models import Nudge
from lessons.board.rows import board_rows
from lessons.board.word import RULE
from lessons.practice.models import Rest
from lessons.questions.models import Message, Thread
from lessons.questions.service import mark_read
from lessons.recaps.models import Seen
from lessons.students.models import Student
from lessons.visits.models import Lesson
from portal.accounts.models import User
from tests import factories
from tests.board.conftest import ago, practised, taught

BOARD = "/board/"


def words(client: Client, query: str = "") -> str:
    """The page's text, without tags."""
    html = client.get(BOARD + query).content.decode()
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", html))


@pytest.fixture(autouse=True)
def _noon():
    """Days are counted at noon: no test straddles midnight."""
    with time_machine.travel("2025-05-15T12:00:00+00:00", tick=False):
        yield


def test_a_row_says_what_was_done_in_one_sentence(as_coach: Client, student: Student):
    lesson = taught(student, 10)
    practised(lesson, "feet together", 9, 7, 6, 3, 1)
    row = board_rows(student.coach)[0]
    assert row.sentence == "Practised 5 of 9 days, left sway gate aside."
    # Due of each: 9 days that are over * 5 / 7; done 5 of one and 0 of the other: 5 / 12.86
    assert row.share.percent == 38
    assert row.last_practised_words == "yesterday"
    page = words(as_coach)
    for told in (student.name, row.sentence, "38 %", "5 of 9 days", "yesterday", "in 18 days"):
        assert told in page


def test_a_row_leads_to_the_student_and_their_last_lesson(as_coach: Client, student: Student):
    lesson = taught(student, 3)
    page = as_coach.get(BOARD).content.decode()
    assert f'href="{reverse("students:student", args=[student.pk])}"' in page
    assert f'href="{reverse("visits:desk", args=[lesson.pk])}"' in page
    assert 'role="img"' in page


def test_it_tells_of_a_note(student: Student):
    practised(taught(student, 3), "sway gate", 1, note="The stick helps.")
    assert board_rows(student.coach)[0].sentence.endswith("wrote a note yesterday.")


def test_it_tells_when_the_recap_was_seen(as_coach: Client, student: Student):
    taught(student, 2, seen=False)
    assert "Recap seen not yet" in words(as_coach)
    Seen.objects.create(recap=Lesson.objects.get().recap, user=student.user)
    assert "Recap seen today" in words(as_coach)


def test_a_guardian_seeing_the_recap_counts(junior: Student, guardian):
    lesson = taught(junior, 5, seen=False)
    assert board_rows(junior.coach)[0].word.rank == 2
    Seen.objects.create(recap=lesson.recap, user=guardian.user)
    assert board_rows(junior.coach)[0].seen_on == ago(0)


def test_the_coachs_own_look_is_not_seen(coach: User, student: Student):
    lesson = taught(student, 5, seen=False)
    Seen.objects.create(recap=lesson.recap, user=coach)
    assert board_rows(coach)[0].seen_on is None


def test_those_who_need_a_word_stand_first_and_say_why(as_coach: Client, coach: User):
    def person(name: str) -> Student:
        return factories.StudentFactory(coach=coach, name=name)

    quiet = taught(person("Ann"), 4)
    practised(quiet, "sway gate", 2, 1)
    practised(quiet, "feet together", 2)
    taught(person("Ben"), 12)
    taught(person("Cas"), 4, seen=False)
    hurt = taught(person("Dee"), 4)
    practised(hurt, "sway gate", 1, hurt=True)
    over = taught(person("Eva"), 30, next_visit=ago(1))
    practised(over, "sway gate", 2)
    factories.LessonFactory(student=person("Fay"), date=ago(3))
    names = [row.student.name for row in board_rows(coach)]
    assert names == ["Dee", "Cas", "Ben", "Eva", "Fay", "Ann"]
    page = words(as_coach)
    assert "A word first" in page
    assert "Nothing practised for 12 days." in page
    assert all(reason in page for reason in RULE)
    assert page.index("Going along") < page.index("Ann")


def test_rows_without_a_reason_stand_by_next_visit(coach: User):
    for name, visit in (("Ann", -20), ("Ben", -5), ("Cas", None)):
        next_visit = None if visit is None else ago(visit)
        taught(factories.StudentFactory(coach=coach, name=name), 1, next_visit=next_visit)
    assert [row.student.name for row in board_rows(coach)] == ["Ben", "Ann", "Cas"]


def test_undone_practice_does_not_count(student: Student):
    practised(taught(student, 5), "sway gate", 2, undone_at=timezone.now())
    assert board_rows(student.coach)[0].last_practised is None


def test_only_the_newest_posted_lesson_counts(as_coach: Client, student: Student):
    practised(taught(student, 30, next_visit=ago(9)), "sway gate", 20, 19)
    newer = taught(student, 9)
    practised(newer, "sway gate", 3)
    row = board_rows(student.coach)[0]
    assert (row.posted, row.ruler.practised_days) == (newer, 1)


def test_a_draft_is_shown_as_one(as_coach: Client, student: Student):
    taught(student, 9)
    draft = factories.LessonFactory(student=student)
    page = as_coach.get(BOARD).content.decode()
    assert reverse("visits:desk", args=[draft.pk]) in page
    assert "Lesson 2, draft" in page


def test_a_drill_taken_away_is_not_left_aside(student: Student):
    lesson = taught(student, 9)
    practised(lesson, "sway gate", 2)
    lesson.assignments.filter(name="feet together").update(removed_at=timezone.now())
    assert board_rows(student.coach)[0].left_aside == []


def test_archived_students_are_not_shown(as_coach: Client, student: Student):
    Student.objects.filter(pk=student.pk).update(archived_at=timezone.now())
    page = words(as_coach)
    assert student.name not in page
    assert "Add your first student" in page


def test_an_empty_board_says_what_to_do(as_coach: Client):
    assert reverse("students:add") in as_coach.get(BOARD).content.decode()


def test_a_student_without_a_lesson_says_what_to_do(as_coach: Client, student: Student):
    page = as_coach.get(BOARD).content.decode()
    assert "Write the first lesson" in page
    assert reverse("visits:add", args=[student.pk]) in page


def test_days_are_those_of_the_students_own_place(student: Student):
    student.user.time_zone = "Pacific/Auckland"
    student.user.save()
    lesson = taught(student, 5)
    with time_machine.travel("2025-05-15T13:00:00+00:00", tick=False):  # 16 May, 01:00 there
        practised(lesson, "sway gate", -1)
        row = board_rows(student.coach)[0]
    assert row.today == datetime.date(2025, 5, 16)
    assert row.last_practised_words == "today"
    assert row.ruler.practised_days == 1


@pytest.mark.parametrize("students", [3, 30])
def test_the_number_of_queries_does_not_grow(
    coach: User, as_coach: Client, students: int, django_assert_num_queries
):
    for _ in range(students):
        student = factories.StudentFactory(coach=coach)
        practised(taught(student, 9), "sway gate", 3, 2, 1)
    # Session, person, students, lessons, questions, rests, drills, logs, seen
    with django_assert_num_queries(10):
        as_coach.get(BOARD)


def asked(student: Student, **message: object) -> Message:
    thread = Thread.objects.create(student=student, about=Thread.About.RECAP)
    values = {"by": student.user, "by_name": student.name, "text": "Which foot?", **message}
    return Message.objects.create(thread=thread, **values)


def test_what_the_coach_has_not_read_comes_before_all_but_pain(coach: User, student: Student):
    practised(taught(student, 3), "sway gate", 1)
    asked(student)
    clip = factories.ClipFactory(lesson=None, coach=coach)
    message = asked(student, clip=clip)
    row = board_rows(coach)[0]
    assert row.word.why == "1 question and 1 check-in not read yet"
    assert row.sentence == "Practised 1 of 2 days, 1 question and 1 check-in not read yet."
    mark_read(message.thread, coach)
    assert board_rows(coach)[0].word.why == "1 question not read yet"


def test_minutes_are_those_told_or_those_of_the_dose(as_coach: Client, student: Student):
    lesson = taught(student, 5)
    lesson.assignments.filter(name="sway gate").update(minutes=10)
    practised(lesson, "sway gate", 3)  # as set: 10
    practised(lesson, "sway gate", 2, percent=50)  # half of it: 5
    practised(lesson, "sway gate", 1, minutes=22, percent=220)  # said: 22
    # In repetitions: 3 sets, each a minute to set up and 10 times 15 seconds, 10.5 minutes
    practised(lesson, "feet together", 1)
    assert board_rows(student.coach)[0].minutes == 48
    assert "about 48" in words(as_coach)


def test_days_of_rest_ask_for_nothing(coach: User, student: Student):
    lesson = taught(student, 10)
    practised(lesson, "sway gate", 8)
    practised(lesson, "feet together", 8)
    assert board_rows(coach)[0].word.why == "Nothing practised for 8 days"
    Rest.objects.create(student=student, why=Rest.Why.RESTING, first=ago(6), last=ago(3))
    row = board_rows(coach)[0]
    assert row.word is None
    # 5 days are over and not paused: 5/7 * 5 days' doses of each drill are due
    assert row.share.due_days == pytest.approx(2 * 25 / 7)
    assert row.days_words == "1 of 5 days"
    assert row.sentence.startswith("Practised 1 of 5 days, 4 days of rest")


def test_who_rests_is_not_idle_and_who_is_hurt_comes_first(coach: User, student: Student):
    practised(taught(student, 20), "sway gate", 14, 13, 12, 11)
    rest = Rest.objects.create(student=student, why=Rest.Why.RESTING, first=ago(1), last=ago(-2))
    row = board_rows(coach)[0]
    assert row.drift is None
    assert row.word.why == "Left feet together aside so far"
    assert "resting until Saturday 17 May" in row.sentence
    Rest.objects.filter(pk=rest.pk).update(why=Rest.Why.HURT)
    assert board_rows(coach)[0].word.why == "Hurt, and resting until Saturday 17 May"


def test_how_it_felt_is_drawn_and_told(as_coach: Client, student: Student):
    lesson = taught(student, 5)
    practised(lesson, "sway gate", 4, felt=2)
    practised(lesson, "sway gate", 1, felt=4)
    page = as_coach.get(BOARD).content.decode()
    assert 'aria-label="Felt hard at first, good lately; told 2 times."' in page
    assert 'style="' not in page


def test_who_drifts_is_among_the_drifting(as_coach: Client, coach: User, student: Student):
    lesson = taught(student, 20)
    practised(lesson, "sway gate", 13, 12, 11, 9, 3)
    practised(lesson, "feet together", 12, 3)
    other = factories.StudentFactory(coach=coach, name="Steady")
    practised(taught(other, 20), "sway gate", 13, 11, 9, 6, 4, 2)
    assert board_rows(coach)[0].word.why == (
        "Practised on 1 of the last 7 days, on 4 of the 7 before"
    )
    page = words(as_coach, "?show=drifting")
    assert student.name in page
    assert "Steady" not in page
    assert DRIFT_RULE in words(as_coach)


def test_choices_say_how_many_they_hold(as_coach: Client, coach: User):
    practised(taught(factories.StudentFactory(coach=coach, name="Ann"), 9), "sway gate", 1)
    visit = taught(factories.StudentFactory(coach=coach, name="Ben"), 9, next_visit=ago(-6))
    practised(visit, "sway gate", 1)
    practised(visit, "feet together", 1)
    page = words(as_coach)
    for told in ("Everyone 2", "Needs a word 1", "Visit this week 1", "Drifting 0"):
        assert told in page
    assert "Ann" not in words(as_coach, "?show=week")
    assert "Ben" not in words(as_coach, "?show=word")
    assert "Nobody just now." in words(as_coach, "?show=drifting")


def test_visits_of_the_week_lead_to_their_briefs(as_coach: Client, coach: User):
    for name, day in (("Late", -7), ("Soon", -6), ("Today", 0), ("Over", 1)):
        taught(factories.StudentFactory(coach=coach, name=name), 9, next_visit=ago(day))
    page = as_coach.get(BOARD).content.decode()
    listed = page[page.index("visit-list") : page.index("</section>")]
    assert "Today" in listed
    assert listed.index("Today") < listed.index("Soon")
    assert "Late" not in listed
    assert "Over" not in listed
    soon = Student.objects.get(name="Soon")
    assert reverse("board:brief", args=[soon.pk]) in listed


def test_a_name_is_found(as_coach: Client, coach: User):
    for name in ("Ann Oak", "Ben Ash"):
        taught(factories.StudentFactory(coach=coach, name=name), 2)
    page = words(as_coach, "?name=oak")
    assert "Ann Oak" in page
    assert "Ben Ash" not in page
    assert "Nobody here is called “xx”" in words(as_coach, "?name=xx")


def test_many_students_come_in_pages(as_coach: Client, coach: User):
    for number in range(PAGE_ROWS + 1):
        taught(factories.StudentFactory(coach=coach, name=f"Student {number:03}"), 1)
    first, last = words(as_coach), words(as_coach, "?page=2")
    assert f"Student {PAGE_ROWS:03}" not in first
    assert f"1 to {PAGE_ROWS} of {PAGE_ROWS + 1}" in first
    assert f"Student {PAGE_ROWS:03}" in last
    assert words(as_coach, "?page=99&show=nonsense") == last


def test_it_tells_when_a_nudge_went_out(as_coach: Client, student: Student):
    taught(student, 3)
    Nudge.objects.create(student=student, by=student.coach, text="One set counts.")
    assert "Nudged today" in words(as_coach)


def test_it_shows_nothing_of_another_coach(as_other_coach: Client, student: Student):
    taught(student, 3)
    assert student.name not in words(as_other_coach)


def test_it_refuses_students_and_guardians(as_student: Client, as_guardian: Client):
    assert as_student.get(BOARD).status_code == 404
    assert as_guardian.get(BOARD).status_code == 404


def test_it_asks_the_signed_out_to_sign_in(as_nobody: Client):
    assert reverse("account_login") in as_nobody.get(BOARD)["Location"]


def test_it_refuses_post(as_coach: Client):
    assert as_coach.post(BOARD).status_code == 405
