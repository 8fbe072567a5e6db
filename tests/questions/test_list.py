"""All threads of a person, those with something new first."""

from __future__ import annotations

import re
import uuid

import pytest
from django.urls import reverse

from lessons.questions.about import Subject
from lessons.questions.models import Message
from lessons.questions.service import ask, mark_read, reply
from lessons.questions.unread import Unread, questions_of, unread_by_student, unread_for
from tests import factories

URL = "/questions/"


def asked(student, text="Why?"):
    lesson = factories.LessonFactory(student=student, posted=True)
    return ask(Subject(lesson), student.user, text, uuid.uuid4()).thread


def test_what_is_new_stands_first(as_coach, coach, student, other_student):
    asked(student, "older and new")
    read = asked(other_student, "newer but read")
    mark_read(read, coach)
    page = as_coach.get(URL).content.decode()
    assert page.index("older and new") < page.index("newer but read")
    assert page.count("1 new") == 1


def test_each_sees_their_own(as_student, as_other_student, as_other_coach, thread):
    assert "Is this far enough?" in as_student.get(URL).content.decode()
    for client in (as_other_student, as_other_coach):
        assert "Is this far enough?" not in client.get(URL).content.decode()


def test_an_empty_list_says_what_to_do(as_coach, as_student):
    assert "Students ask from their lesson page" in as_coach.get(URL).content.decode()
    assert "Ask from your lesson page" in as_student.get(URL).content.decode()


def test_a_long_list_has_pages(as_coach, student):
    for _ in range(51):
        asked(student)
    assert "1 of 2" in as_coach.get(URL).content.decode()
    assert "2 of 2" in as_coach.get(f"{URL}?page=2").content.decode()
    assert as_coach.get(f"{URL}?page=nonsense").status_code == 200


def test_queries_do_not_grow_with_the_threads(
    as_coach, coach, student, django_assert_max_num_queries
):
    for _ in range(20):
        asked(student)
    with django_assert_max_num_queries(6):
        as_coach.get(URL)


def test_it_only_reads(as_coach, as_nobody):
    assert as_coach.post(URL).status_code == 405
    assert as_nobody.get(URL).status_code == 302


def test_unread_by_student_tells_words_from_clips_in_one_query(
    coach, student, other_student, django_assert_num_queries
):
    thread = asked(student)
    clip = factories.ClipFactory(lesson=None, coach=coach)
    Message.objects.create(thread=thread, by=student.user, by_name="S", clip=clip)
    asked(other_student)
    with django_assert_num_queries(1):
        found = unread_by_student(coach, [student.pk, other_student.pk])
    assert found == {student.pk: Unread(1, 1), other_student.pk: Unread(1, 0)}
    assert unread_for(coach) == 3


def test_every_pages_bar_says_how_many_are_new(as_coach, as_student, student, coach):
    thread = asked(student)
    bar = r'<a href="/questions/"[^>]*>Questions(.*?)</a>'

    def new_in(client) -> str:
        page = client.get(reverse("accounts:profile")).content.decode()
        return re.sub(r"<[^>]*>", "", re.search(bar, page, re.DOTALL)[1])

    assert new_in(as_coach) == " 1 new"
    assert new_in(as_student) == ""
    as_coach.get(thread.get_absolute_url())
    assert new_in(as_coach) == ""
    reply(thread, coach, "Because of the hip.", uuid.uuid4())
    assert new_in(as_student) == " 1 new"


def test_questions_of_a_student_are_theirs_alone(student, other_student):
    mine = asked(student)
    asked(other_student)
    assert list(questions_of(student)) == [mine]


@pytest.mark.parametrize("who", ["as_coach", "as_student"])
def test_other_pages_show_the_threads(request, who, thread, student, lesson_read):
    client = request.getfixturevalue(who)
    url = {
        "as_coach": reverse("students:student", args=[student.pk]),
        "as_student": reverse("recaps:read", args=[lesson_read.pk]),
    }[who]
    page = client.get(url).content.decode()
    assert thread.get_absolute_url() in page
    assert ("Ask a question" in page) == (who == "as_student")


def test_a_still_and_a_drill_offer_to_ask(as_student, as_coach, lesson_read):
    still = lesson_read.clips.get().stills.get()
    given = lesson_read.assignments.get()
    ask_url = reverse("questions:ask", args=[lesson_read.pk])
    page = as_student.get(reverse("marks:still", args=[still.pk])).content.decode()
    assert f"{ask_url}?about=still-{still.pk}" in page
    page = as_student.get(reverse("drills:given", args=[given.pk])).content.decode()
    assert f"{ask_url}?about=drill-{given.pk}" in page
    assert (
        "Ask about this"
        not in as_coach.get(reverse("drills:given", args=[given.pk])).content.decode()
    )
