"""practice:log, one tap on a given drill."""

from __future__ import annotations

import datetime
import uuid

import pytest
import time_machine
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from lessons.drills.models import Assignment
from lessons.practice.models import Log
from lessons.students.models import Student
from lessons.visits.models import Lesson
from tests import factories
from tests.practice.conftest import tap

DAY = datetime.timedelta(days=1)


def test_one_tap_logs_the_dose_as_set_for_today(as_student: Client, given: Assignment):
    answer = tap(as_student, given)
    log = Log.objects.get()
    assert (log.assignment, log.day, log.percent) == (given, timezone.localdate(), 100)
    assert log.by == given.lesson.student.user
    assert log.is_as_set
    page = answer.content.decode()
    assert "Done today" in page
    assert "1 of 5 days this week" in page
    assert reverse("practice:undo", args=[log.pk]) in page
    assert 'hx-swap-oob="true"' in page


def test_without_htmx_it_leads_back_to_the_lesson(as_student: Client, given: Assignment):
    answer = tap(as_student, given, htmx=False)
    assert answer.status_code == 302
    read = reverse("recaps:read", args=[given.lesson.pk])
    assert answer["Location"] == f"{read}#given-{given.pk}"
    assert Log.objects.count() == 1


def test_the_same_form_sent_twice_is_one_log(as_student: Client, given: Assignment):
    client_id = uuid.uuid4()
    assert tap(as_student, given, client_id=client_id).status_code == 200
    assert tap(as_student, given, client_id=client_id).status_code == 200
    assert Log.objects.count() == 1


def test_a_second_tap_of_a_new_page_does_not_double(as_student: Client, given: Assignment):
    tap(as_student, given)
    tap(as_student, given)
    assert Log.objects.count() == 1


def test_once_more_is_a_second_log_and_kindly_shown(as_student: Client, given: Assignment):
    tap(as_student, given)
    answer = tap(as_student, given, again="on")
    assert Log.objects.count() == 2
    assert "and more than was set" in answer.content.decode()


def test_a_form_sent_again_after_undo_stays_undone(as_student: Client, given: Assignment):
    client_id = uuid.uuid4()
    tap(as_student, given, client_id=client_id)
    Log.objects.get().undo()
    answer = tap(as_student, given, client_id=client_id)
    assert not Log.objects.standing().exists()
    assert f'aria-label="Done today: {given.name}"' in answer.content.decode()


def test_it_can_be_done_again_after_undo(as_student: Client, given: Assignment):
    tap(as_student, given)
    Log.objects.get().undo()
    tap(as_student, given)
    assert Log.objects.standing().count() == 1


def test_yesterday_can_be_logged(as_student: Client, student: Student):
    lesson = factories.LessonFactory(
        student=student, posted=True, date=timezone.localdate() - 3 * DAY
    )
    given = factories.AssignmentFactory(lesson=lesson)
    answer = tap(as_student, given, "yesterday")
    assert Log.objects.get().day == timezone.localdate() - DAY
    page = answer.content.decode()
    assert "Yesterday:" in page
    assert f'aria-label="Done today: {given.name}"' in page


def test_a_day_before_the_lesson_is_refused(as_student: Client, given: Assignment):
    answer = tap(as_student, given, "yesterday")
    assert answer.status_code == 409
    assert "before the lesson" in answer.content.decode()
    assert not Log.objects.exists()


def test_it_takes_logs_on_the_day_of_the_next_visit(as_student: Client, student: Student):
    today = timezone.localdate()
    lesson = factories.LessonFactory(
        student=student, posted=True, date=today - 7 * DAY, next_visit=today
    )
    assert tap(as_student, factories.AssignmentFactory(lesson=lesson)).status_code == 200


def test_it_refuses_after_the_next_visit(as_student: Client, student: Student):
    today = timezone.localdate()
    lesson = factories.LessonFactory(
        student=student, posted=True, date=today - 7 * DAY, next_visit=today - DAY
    )
    answer = tap(as_student, factories.AssignmentFactory(lesson=lesson))
    assert answer.status_code == 409
    assert "These drills held until" in answer.content.decode()
    assert not Log.objects.exists()


def test_it_refuses_once_a_newer_lesson_is_posted(as_student: Client, given: Assignment):
    newer = factories.LessonFactory(student=given.lesson.student)
    assert tap(as_student, given).status_code == 200
    newer.mark_posted()
    answer = tap(as_student, given, again="on")
    assert answer.status_code == 409
    assert "You have had a lesson since" in answer.content.decode()
    assert Log.objects.count() == 1


def test_without_htmx_a_refusal_is_told_on_the_lessons_page(as_student: Client, given: Assignment):
    factories.LessonFactory(student=given.lesson.student, posted=True)
    answer = tap(as_student, given, htmx=False)
    assert answer.status_code == 302
    told = [str(message) for message in answer.wsgi_request._messages]
    assert told == ["You have had a lesson since. Practise the drills of the newer one."]


def test_it_refuses_a_drill_that_was_taken_away(as_student: Client, given: Assignment):
    Assignment.objects.filter(pk=given.pk).update(removed_at=timezone.now())
    answer = tap(as_student, given)
    assert answer.status_code == 409
    assert "has taken this drill off your list" in answer.content.decode()


def test_it_refuses_a_form_of_another_drill(as_student: Client, given: Assignment, log: Log):
    other = factories.AssignmentFactory(lesson=given.lesson)
    answer = tap(as_student, other, client_id=log.client_id)
    assert answer.status_code == 409
    assert "That was for another drill" in answer.content.decode()


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"client_id": "no uuid"}, "Reload the page and tap again"),
        ({"client_id": ""}, "Reload the page and tap again"),
        ({"when": "tomorrow"}, "Only today and yesterday can be logged"),
        ({"when": ""}, "Say whether it was today or yesterday"),
    ],
)
def test_it_says_what_is_wrong_with_a_form(
    as_student: Client, given: Assignment, fields: dict[str, str], words: str
):
    answer = tap(as_student, given, **fields)
    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert not Log.objects.exists()


def test_a_guardian_logs_for_their_child(as_guardian: Client, juniors_drill: Assignment):
    answer = tap(as_guardian, juniors_drill)
    log = Log.objects.get()
    assert log.by != juniors_drill.lesson.student.user
    assert f"logged by {log.by.name}" in answer.content.decode()


def test_child_and_guardian_tapping_the_same_day_do_not_double(
    as_guardian: Client, juniors_drill: Assignment
):
    child = Client()
    child.force_login(juniors_drill.lesson.student.user)
    tap(child, juniors_drill)
    tap(as_guardian, juniors_drill)
    assert Log.objects.count() == 1


def test_it_refuses_a_guardian_of_another(as_guardian: Client, given: Assignment):
    assert tap(as_guardian, given).status_code == 404


def test_it_refuses_another_student(as_other_student: Client, given: Assignment):
    assert tap(as_other_student, given).status_code == 404


def test_it_refuses_the_coach(as_coach: Client, given: Assignment):
    assert tap(as_coach, given).status_code == 404
    assert not Log.objects.exists()


def test_it_refuses_another_coach(as_other_coach: Client, given: Assignment):
    assert tap(as_other_coach, given).status_code == 404


def test_it_asks_the_signed_out_to_sign_in(as_nobody: Client, given: Assignment):
    answer = tap(as_nobody, given)
    assert answer.status_code == 302
    assert reverse("account_login") in answer["Location"]


def test_it_refuses_a_lesson_that_is_not_posted(as_student: Client, lesson: Lesson):
    assert tap(as_student, factories.AssignmentFactory(lesson=lesson)).status_code == 404


def test_it_refuses_get(as_student: Client, given: Assignment):
    assert as_student.get(reverse("practice:log", args=[given.pk])).status_code == 405


# --- the student's own day -------------------------------------------------------------------
@pytest.mark.parametrize(
    ("zone", "moment", "day"),
    [
        # 01:00 on 10 May in Auckland (UTC+12) is still 9 May in UTC
        ("Pacific/Auckland", "2025-05-09T13:00:00+00:00", datetime.date(2025, 5, 10)),
        # 23:30 on 8 May in Honolulu (UTC-10) is 9 May in UTC
        ("Pacific/Honolulu", "2025-05-09T09:30:00+00:00", datetime.date(2025, 5, 8)),
        # Clocks in Dublin went forward on 30 March 2025 at 01:00 UTC: before, between and after
        ("Europe/Dublin", "2025-03-29T23:59:00+00:00", datetime.date(2025, 3, 29)),
        ("Europe/Dublin", "2025-03-30T00:30:00+00:00", datetime.date(2025, 3, 30)),
        ("Europe/Dublin", "2025-03-30T23:30:00+00:00", datetime.date(2025, 3, 31)),
        # and back on 26 October: the day has 25 hours
        ("Europe/Dublin", "2025-10-25T23:30:00+00:00", datetime.date(2025, 10, 26)),
        ("Europe/Dublin", "2025-10-26T23:30:00+00:00", datetime.date(2025, 10, 26)),
    ],
)
def test_today_is_the_students_own_day(
    student: Student, zone: str, moment: str, day: datetime.date
):
    student.user.time_zone = zone
    student.user.save()
    with time_machine.travel(moment, tick=False):
        lesson = factories.LessonFactory(student=student, posted=True, date=day - DAY)
        client = Client()
        client.force_login(student.user)
        tap(client, factories.AssignmentFactory(lesson=lesson))
    assert Log.objects.get().day == day


def test_a_guardian_elsewhere_logs_for_the_childs_day(juniors_drill: Assignment):
    child = juniors_drill.lesson.student
    parent = child.guardians.get().user
    child.user.time_zone, parent.time_zone = "Pacific/Auckland", "Pacific/Honolulu"
    child.user.save()
    parent.save()
    with time_machine.travel("2025-05-09T13:00:00+00:00", tick=False):
        Lesson.objects.filter(pk=juniors_drill.lesson.pk).update(
            date=datetime.date(2025, 5, 8), next_visit=None
        )
        client = Client()
        client.force_login(parent)
        tap(client, juniors_drill)
    assert Log.objects.get().day == datetime.date(2025, 5, 10)
