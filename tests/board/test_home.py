"""home, where the name at the top leads."""

from __future__ import annotations

import datetime

from django.test import Client
from django.urls import reverse
from django.utils import timezone

from lessons.students.models import Guardian, Student
from portal.accounts.models import User
from tests import factories

HOME = "/"


def test_it_stands_at_the_root():
    assert reverse("home") == HOME


def test_the_coach_gets_the_board(as_coach: Client):
    assert as_coach.get(HOME)["Location"] == reverse("board:board")


def test_a_student_gets_their_newest_posted_lesson(as_student: Client, student: Student):
    earlier = timezone.localdate() - datetime.timedelta(20)
    factories.LessonFactory(student=student, posted=True, date=earlier)
    newest = factories.LessonFactory(student=student, posted=True)
    factories.LessonFactory(student=student)
    assert as_student.get(HOME)["Location"] == reverse("recaps:read", args=[newest.pk])


def test_a_student_without_a_posted_lesson_is_told_what_comes(as_student: Client, student: Student):
    factories.LessonFactory(student=student)
    answer = as_student.get(HOME)
    assert answer.status_code == 200
    assert f"When {student.coach.name} posts your first lesson" in answer.content.decode()


def test_a_guardian_of_one_gets_the_childs_newest_lesson(as_guardian: Client, junior: Student):
    lesson = factories.LessonFactory(student=junior, posted=True)
    assert as_guardian.get(HOME)["Location"] == reverse("recaps:read", args=[lesson.pk])


def test_a_guardian_of_several_gets_a_list(as_guardian: Client, guardian: Guardian, coach: User):
    sibling = factories.JuniorFactory(coach=coach)
    factories.GuardianFactory(student=sibling, user=guardian.user, email=guardian.email)
    lesson = factories.LessonFactory(student=sibling, posted=True)
    page = as_guardian.get(HOME).content.decode()
    assert sibling.name in page
    assert guardian.student.name in page
    assert reverse("recaps:read", args=[lesson.pk]) in page
    assert "Nothing to read yet" in page


def test_somebody_tied_to_no_student_is_told_what_to_do(db: None):
    stranger = factories.UserFactory()
    client = Client()
    client.force_login(stranger)
    page = client.get(HOME).content.decode()
    assert "not tied to a student yet" in page
    assert stranger.email in page


def test_it_asks_the_signed_out_to_sign_in(as_nobody: Client):
    assert reverse("account_login") in as_nobody.get(HOME)["Location"]


def test_it_refuses_post(as_coach: Client):
    assert as_coach.post(HOME).status_code == 405
