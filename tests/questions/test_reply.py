"""Answers in a thread, and a marked still sent back."""

from __future__ import annotations

import pytest
from django.urls import reverse

from lessons.questions.models import Message
from portal.mail.models import Letter
from tests import factories
from tests.conftest import signed_in
from tests.questions.conftest import words


@pytest.fixture
def url(thread):
    Letter.objects.all().delete()
    return reverse("questions:reply", args=[thread.pk])


def test_the_coachs_answer_goes_into_the_thread_and_by_letter(as_coach, url, student, thread):
    answer = as_coach.post(url, words("A little more."))
    message = thread.messages.last()
    assert answer.url == f"/questions/{thread.pk}/#message-{message.pk}"
    letter = Letter.objects.get()
    assert letter.to == student.user.email
    assert "A little more." in letter.text
    assert "/enter/" in letter.text


def test_the_guardians_of_a_junior_get_the_answer_too(guardian, coach):
    junior = guardian.student
    lesson = factories.LessonFactory(student=junior, posted=True)
    signed_in(guardian.user).post(reverse("questions:ask", args=[lesson.pk]), words())
    Letter.objects.all().delete()
    thread = Message.objects.get().thread
    signed_in(coach).post(reverse("questions:reply", args=[thread.pk]), words("Yes."))
    assert guardian.user.email in set(Letter.objects.values_list("to", flat=True))
    assert f"answered {junior.name}" in Letter.objects.get(to=guardian.user.email).text


def test_the_students_next_word_goes_to_the_coach(as_student, url, coach):
    as_student.post(url, words("Like this?"))
    assert Letter.objects.get().to == coach.email


def test_sending_twice_keeps_one(as_coach, url, thread):
    sent = words("Once")
    assert as_coach.post(url, sent).url == as_coach.post(url, sent).url
    assert thread.messages.count() == 2


def test_a_still_is_sent_back_as_it_is_drawn(as_coach, as_student, url, thread, lesson_read):
    still = lesson_read.clips.get().stills.get()
    as_coach.post(url, words("", still=still.pk))
    assert thread.messages.last().still == still
    page = as_student.get(thread.get_absolute_url()).content.decode()
    assert reverse("clips:picture", args=[still.pk]) in page


def test_a_student_can_not_send_a_still_that_is_not_theirs_to_draw_on(
    as_student, url, thread, lesson_read
):
    still = lesson_read.clips.get().stills.get()
    assert as_student.post(url, words(still=still.pk)).status_code == 404


@pytest.mark.parametrize(
    ("sent", "sentence"),
    [
        ({"text": ""}, "Write a word or two first."),
        ({"text": "x" * 4001}, "Shorten this"),
        ({"still": "nine"}, "Enter a whole number"),
    ],
)
def test_what_it_can_not_take_is_said(as_coach, url, thread, sent, sentence):
    answer = as_coach.post(url, words() | sent)
    assert answer.status_code == 422
    assert sentence in answer.content.decode()
    assert thread.messages.count() == 1


def test_it_is_not_there_for_others(as_other_coach, as_other_student, as_nobody, url, thread):
    assert as_other_coach.post(url, words()).status_code == 404
    assert as_other_student.post(url, words()).status_code == 404
    assert as_nobody.post(url, words()).status_code == 302
    assert thread.messages.count() == 1


def test_it_rejects_get(as_coach, url):
    assert as_coach.get(url).status_code == 405
