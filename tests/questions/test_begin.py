"""questions:begin, a thread that the coach begins."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from lessons.questions.models import Message, Thread
from lessons.students.models import Guardian, Student
from lessons.visits.models import Lesson
from portal.mail.models import Letter
from portal.notices.telling import switch
from tests import factories
from tests.questions.conftest import words


@pytest.fixture
def url(student: Student) -> str:
    return reverse("questions:begin", args=[student.pk])


def test_the_coach_writes_first_and_the_student_answers(
    as_coach: Client, as_student: Client, url: str, student: Student, lesson_read: Lesson
):
    answer = as_coach.post(url, words("How is the hip?"))
    message = Message.objects.get()
    assert answer["Location"] == f"/questions/{message.thread_id}/#message-{message.pk}"
    assert (message.thread.student, message.thread.lesson) == (student, lesson_read)
    letter = Letter.objects.get()
    assert letter.to == student.user.email
    assert letter.subject == f"{student.coach} writes: How is the hip?"
    thread = message.thread.get_absolute_url()
    assert "How is the hip?" in as_student.get(thread).content.decode()
    as_student.post(reverse("questions:reply", args=[message.thread_id]), words("Better."))
    assert Letter.objects.filter(to=student.coach.email).count() == 1
    as_coach.post(reverse("questions:reply", args=[message.thread_id]), words("Good."))
    assert Letter.objects.order_by("-pk").first().subject.endswith("answered: The lesson")


def test_it_is_about_a_drill_or_a_still_of_the_recap(
    as_coach: Client, url: str, lesson_read: Lesson
):
    given, still = lesson_read.assignments.get(), lesson_read.clips.get().stills.get()
    page = as_coach.get(f"{url}?about=drill-{given.pk}").content.decode()
    assert f'<option value="drill-{given.pk}"\n                  selected>' in page
    as_coach.post(url, words("Slower.", about=f"drill-{given.pk}"))
    as_coach.post(url, words("Look.", about=f"still-{still.pk}"))
    assert [one.title for one in Thread.objects.order_by("pk")] == ["sway gate", "P4 top"]


def test_a_still_that_the_student_can_not_see_is_refused(
    as_coach: Client, url: str, lesson_read: Lesson
):
    clip = lesson_read.clips.get()
    left_out = factories.StillFactory(clip=clip, state="ready", picture="y.jpg")
    answer = as_coach.post(url, words("Look.", about=f"still-{left_out.pk}"))
    assert answer.status_code == 422
    assert "Choose again." in answer.content.decode()
    assert not Thread.objects.exists()


def test_before_any_posted_lesson_it_is_just_a_word(
    as_coach: Client, as_student: Client, url: str, lesson: Lesson
):
    assert as_coach.get(url).status_code == 200
    as_coach.post(url, words("See you on Friday."))
    thread = Thread.objects.get()
    assert (thread.title, thread.lesson, thread.subject_url) == ("A word", None, "")
    assert "See you on Friday." in as_student.get(thread.get_absolute_url()).content.decode()
    assert "about" not in Letter.objects.get().text.splitlines()[2]


def test_sending_twice_keeps_one(as_coach: Client, url: str, lesson_read: Lesson):
    sent = words("How is the hip?")
    assert as_coach.post(url, sent)["Location"] == as_coach.post(url, sent)["Location"]
    assert Thread.objects.count() == Letter.objects.count() == 1


def test_the_guardian_of_a_junior_reads_along(as_coach: Client, guardian: Guardian):
    as_coach.post(reverse("questions:begin", args=[guardian.student_id]), words("Well done."))
    assert [letter.to for letter in Letter.objects.all()] == [guardian.user.email]


def test_who_has_not_signed_in_reads_it_later(as_coach: Client, student: Student):
    alone = factories.StudentFactory(coach=student.coach, user=None)
    url = reverse("questions:begin", args=[alone.pk])
    assert "has not signed in yet" in as_coach.get(url).content.decode()
    assert as_coach.post(url, words()).status_code == 302
    assert not Letter.objects.exists()


def test_who_wants_no_letters_of_this_kind_gets_none(as_coach: Client, url: str, student: Student):
    switch(student.user, "reply", by_letter=False, by_push=False)
    as_coach.post(url, words())
    assert not Letter.objects.exists()


def test_without_words_it_says_so(as_coach: Client, url: str):
    answer = as_coach.post(url, words(""))
    assert answer.status_code == 422
    assert "Write a word or two first." in answer.content.decode()


def test_the_students_page_leads_to_it(as_coach: Client, url: str, student: Student):
    page = as_coach.get(reverse("students:student", args=[student.pk])).content.decode()
    assert f'href="{url}"' in page


def test_it_is_the_coachs_alone(
    as_student: Client, as_other_coach: Client, as_nobody: Client, url: str
):
    for client in (as_student, as_other_coach):
        assert client.get(url).status_code == 404
        assert client.post(url, words()).status_code == 404
    assert as_nobody.post(url, words()).status_code == 302


def test_it_rejects_other_methods(as_coach: Client, url: str):
    assert as_coach.put(url).status_code == 405
