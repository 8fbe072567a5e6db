"""'Remind me at 18:00': what is chosen on the Today page, and when a reminder comes."""

from __future__ import annotations

import datetime
from collections.abc import Callable

import pytest
import time_machine
from django.conf import settings as site
from django.test import Client
from django.urls import reverse

from lessons.drills.models import Assignment
from lessons.practice import tasks
from lessons.practice.models import Reminder, Rest
from lessons.students.models import Guardian, Student
from lessons.visits.models import Lesson
from portal.accounts.models import User
from portal.celery import app
from portal.mail.models import Letter
from portal.notices.models import QuietHours
from portal.notices.telling import permit, switch
from tests import factories
from tests.practice.conftest import tap

MORNING = datetime.datetime(2025, 5, 9, 8, tzinfo=datetime.UTC)


@pytest.fixture(autouse=True)
def no_broker(monkeypatch: pytest.MonkeyPatch) -> None:
    """A reminder that is handed to a worker is done at once."""
    monkeypatch.setattr(tasks.remind, "delay", tasks.remind)


@pytest.fixture
def drills(student: Student) -> Lesson:
    return lesson_of(student)


def lesson_of(student: Student) -> Lesson:
    """A lesson eight days ago whose two drills are for every day."""
    posted = MORNING - datetime.timedelta(days=8)
    lesson = factories.LessonFactory(student=student, date=posted.date(), posted_at=posted)
    for name in ("sway gate", "feet together"):
        given = factories.AssignmentFactory(
            lesson=lesson, name=name, sets=None, reps=None, minutes=4, days_a_week=7
        )
        Assignment.objects.filter(pk=given.pk).update(created_at=posted)
    return lesson


def choose(client: Client, student: Student, **data: str):
    return client.post(reverse("practice:remind", args=[student.pk]), data)


def letters_at(when: str) -> list[Letter]:
    """What the clock's task writes at a time of that day, in UTC."""
    hour, minute = map(int, when.split(":"))
    before = set(Letter.objects.values_list("pk", flat=True))
    with time_machine.travel(MORNING.replace(hour=hour, minute=minute), tick=False):
        tasks.remind_all()
    return list(Letter.objects.exclude(pk__in=before))


@pytest.fixture
def at_six(student: Student, drills: Lesson) -> Reminder:
    """The student lives in Dublin, where 18:00 is 17:00 UTC in May."""
    User.objects.filter(pk=student.user_id).update(time_zone="Europe/Dublin")
    return Reminder.objects.create(user=student.user, student=student, at=datetime.time(18))


def test_the_clock_asks_each_minute():
    assert app.conf.beat_schedule["remind"]["schedule"] == 60
    assert site.CELERY_BEAT_SCHEDULE["remind"]["task"] == tasks.remind_all.name


def test_it_comes_at_the_time_of_the_persons_own_zone_once(at_six: Reminder, student: Student):
    assert letters_at("16:59") == []
    (letter,) = letters_at("17:00")
    assert letter.to == student.user.email
    assert letter.subject == "Practice today: 2 drills, about 8 minutes"
    assert "- sway gate: 4 minutes" in letter.text
    assert "List-Unsubscribe" in letter.headers
    assert letters_at("17:01") == []


def test_a_worker_that_was_away_makes_up_for_it_within_the_hour(at_six: Reminder):
    assert len(letters_at("17:58")) == 1


def test_much_too_late_is_not_at_all(at_six: Reminder):
    assert letters_at("18:30") == []


def test_two_workers_at_once_remind_once(at_six: Reminder):
    assert at_six.take(MORNING.date())
    assert not at_six.take(MORNING.date())
    assert letters_at("17:00") == []


def test_a_day_of_rest_is_left_in_peace(at_six: Reminder, student: Student):
    day = MORNING.date()
    Rest.objects.create(student=student, why="resting", first=day, last=day)
    assert letters_at("17:00") == []


def test_a_day_that_is_done_is_left_in_peace(at_six: Reminder, as_student: Client, drills: Lesson):
    with time_machine.travel(MORNING):
        for given in drills.assignments.all():
            tap(as_student, given)
    assert letters_at("17:00") == []


def test_only_what_is_left_is_told(at_six: Reminder, as_student: Client, drills: Lesson):
    with time_machine.travel(MORNING):
        tap(as_student, drills.assignments.get(name="sway gate"))
    (letter,) = letters_at("17:00")
    assert letter.subject == "Practice today: 1 drill, about 4 minutes"
    assert "sway gate" not in letter.text


def once_over(lesson: Lesson) -> None:
    Lesson.objects.filter(pk=lesson.pk).update(next_visit=MORNING.date())


def once_put_aside(lesson: Lesson) -> None:
    lesson.student.archive()


def once_taken_away(lesson: Lesson) -> None:
    lesson.assignments.update(removed_at=MORNING)


@pytest.mark.parametrize("change", [once_over, once_put_aside, once_taken_away])
def test_nothing_is_said_where_nothing_is_asked(
    at_six: Reminder, drills: Lesson, change: Callable[[Lesson], None]
):
    with time_machine.travel(MORNING):
        change(drills)
    assert letters_at("17:00") == []


def test_quiet_hours_are_quiet_and_it_does_not_come_after_them(at_six: Reminder):
    night = {"begin": datetime.time(17), "end": datetime.time(19)}
    QuietHours.objects.create(user=at_six.user, **night)
    assert letters_at("17:00") == []
    assert letters_at("18:05") == []


def test_who_switched_it_off_gets_none_and_reads_why(
    at_six: Reminder, as_student: Client, student: Student
):
    switch(student.user, "practice", by_letter=False, by_push=False)
    assert letters_at("17:00") == []
    with time_machine.travel(MORNING):
        page = as_student.get(reverse("practice:today")).content.decode()
    assert "You have switched these notices off." in page


def test_a_junior_hears_nothing_without_a_guardians_yes(guardian: Guardian):
    junior = guardian.student
    lesson_of(junior)
    Reminder.objects.create(user=junior.user, student=junior, at=datetime.time(17))
    assert letters_at("17:00") == []
    Reminder.objects.update(last_on=None)
    permit(junior.user, guardian.user, allowed=True)
    (letter,) = letters_at("17:00")
    assert letter.to == junior.user.email
    assert "An adult stands by." in letter.text


def test_a_guardian_is_reminded_of_a_juniors_practice(guardian: Guardian):
    junior = guardian.student
    lesson_of(junior)
    Reminder.objects.create(user=guardian.user, student=junior, at=datetime.time(17))
    (letter,) = letters_at("17:00")
    assert letter.to == guardian.user.email
    assert letter.subject.startswith(f"{junior.name}'s practice today")


@time_machine.travel(MORNING)
def test_it_is_chosen_changed_and_stopped(as_student: Client, student: Student, drills: Lesson):
    assert choose(as_student, student, at="18:00").status_code == 302
    assert choose(as_student, student, at="19:30").status_code == 302
    assert Reminder.objects.get().at == datetime.time(19, 30)
    page = as_student.get(reverse("practice:today")).content.decode()
    assert 'value="19:30"' in page
    for _ in range(2):
        assert choose(as_student, student, stop="1").status_code == 302
    assert not Reminder.objects.exists()


@time_machine.travel(MORNING)
def test_a_time_that_is_just_over_begins_tomorrow(
    as_student: Client, student: Student, drills: Lesson
):
    choose(as_student, student, at="07:45")
    assert letters_at("08:01") == []
    assert Reminder.objects.get().last_on == MORNING.date()


@pytest.mark.parametrize(("at", "words"), [("", "Say at what time."), ("x", "Write a time like")])
@time_machine.travel(MORNING)
def test_what_is_no_time_is_told(
    as_student: Client, student: Student, drills: Lesson, at: str, words: str
):
    answer = choose(as_student, student, at=at)
    assert answer.status_code == 422
    assert words in answer.content.decode()


@time_machine.travel(MORNING)
def test_a_time_in_ones_quiet_hours_is_refused(
    as_student: Client, student: Student, drills: Lesson
):
    QuietHours.objects.create(user=student.user, begin=datetime.time(21), end=datetime.time(7, 30))
    answer = choose(as_student, student, at="22:00")
    assert answer.status_code == 422
    assert "You want quiet from 21:00 to 07:30." in answer.content.decode()
    assert not Reminder.objects.exists()


def test_only_the_student_and_their_guardian_choose(
    student: Student,
    as_other_student: Client,
    as_coach: Client,
    as_other_coach: Client,
    as_nobody: Client,
    as_student: Client,
):
    for client in (as_other_student, as_coach, as_other_coach):
        assert choose(client, student, at="18:00").status_code == 404
    assert choose(as_nobody, student, at="18:00").status_code == 302
    assert as_student.get(reverse("practice:remind", args=[student.pk])).status_code == 405


def test_a_reminder_is_ones_own(at_six: Reminder, coach: User, other_student: Student):
    assert Reminder.objects.visible_to(at_six.user).exists()
    assert not Reminder.objects.visible_to(coach).exists()
    assert not Reminder.objects.visible_to(other_student.user).exists()
