"""board:prepare, the coach's own notes for the next visit, saved as typed."""

from __future__ import annotations

import json

import pytest
from django.test import Client
from django.urls import reverse

from lessons.board.models import Preparation
from lessons.visits.models import Lesson


def put(client: Client, lesson: Lesson, body: object):
    text = body if isinstance(body, str) else json.dumps(body)
    path = reverse("board:prepare", args=[lesson.pk])
    return client.put(path, text, content_type="application/json")


def kept() -> str:
    return Preparation.objects.get().text


def test_what_is_typed_is_kept(as_coach: Client, posted_lesson: Lesson):
    answer = put(as_coach, posted_lesson, {"text": "Look at the grip.", "version": 0})
    assert (answer.status_code, answer.json()) == (200, {"version": 1})
    assert put(as_coach, posted_lesson, {"text": "Grip, then tempo.", "version": 1}).json() == {
        "version": 2
    }
    assert kept() == "Grip, then tempo."


def test_the_same_saving_twice_is_no_conflict(as_coach: Client, posted_lesson: Lesson):
    for _ in range(2):
        answer = put(as_coach, posted_lesson, {"text": "Grip.", "version": 0})
        assert (answer.status_code, answer.json()) == (200, {"version": 1})


def test_an_older_page_writes_over_nothing(as_coach: Client, posted_lesson: Lesson):
    put(as_coach, posted_lesson, {"text": "Newer.", "version": 0})
    answer = put(as_coach, posted_lesson, {"text": "Older.", "version": 0})
    assert (answer.status_code, answer.json()) == (409, {"version": 1, "theirs": "Newer."})
    assert kept() == "Newer."


@pytest.mark.parametrize(
    ("body", "message"),
    [
        ("{", "The page could not be read."),
        ([], "The page could not be read."),
        ({"text": "a"}, "The page could not be read."),
        ({"text": "a", "version": "x"}, "The page could not be read."),
        ({"text": "a" * 20_001, "version": 0}, "Shorten this to 20,000 letters; it has 20,001."),
    ],
)
def test_what_cannot_be_kept_says_why(as_coach: Client, posted_lesson: Lesson, body, message: str):
    answer = put(as_coach, posted_lesson, body)
    assert answer.status_code == 422
    assert message in answer.json()["errors"][0]["message"]


def test_it_is_the_coachs_alone(as_student: Client, as_other_coach: Client, posted_lesson: Lesson):
    for client in (as_student, as_other_coach):
        assert put(client, posted_lesson, {"text": "x", "version": 0}).status_code == 404
    kept, _ = Preparation.objects.get_or_create(lesson=posted_lesson)
    student = posted_lesson.student
    assert list(Preparation.objects.visible_to(student.coach)) == [kept]
    assert not Preparation.objects.visible_to(student.user).exists()


def test_it_asks_the_signed_out_to_sign_in(as_nobody: Client, posted_lesson: Lesson):
    answer = put(as_nobody, posted_lesson, {"text": "x", "version": 0})
    assert reverse("account_login") in answer["Location"]


def test_what_is_kept_can_be_asked_for(as_coach: Client, posted_lesson: Lesson):
    put(as_coach, posted_lesson, {"text": "Grip.", "version": 0})
    answer = as_coach.get(reverse("board:prepare", args=[posted_lesson.pk]))
    assert answer.json() == {"text": "Grip.", "version": 1}


def test_it_refuses_post(as_coach: Client, posted_lesson: Lesson):
    assert as_coach.post(reverse("board:prepare", args=[posted_lesson.pk])).status_code == 405
