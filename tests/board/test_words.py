"""board:words and board:edit_words, what a coach keeps to begin a nudge with."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from lessons.board.models import NudgeWords
from portal.accounts.models import User

WORDS = "/board/words/"


@pytest.fixture
def kept(coach: User) -> NudgeWords:
    return NudgeWords.objects.create(coach=coach, name="One set", text="One set counts.")


def edit(words: NudgeWords) -> str:
    return reverse("board:edit_words", args=[words.pk])


def test_an_empty_list_says_what_to_do(as_coach: Client):
    assert "None yet." in as_coach.get(WORDS).content.decode()


def test_new_words_are_kept_for_the_coach_alone(as_coach: Client, coach: User, other_coach: User):
    assert as_coach.post(WORDS, {"name": "Short", "text": "Hello"}).status_code == 302
    assert "Hello" in as_coach.get(WORDS).content.decode()
    assert NudgeWords.objects.visible_to(coach).count() == 1
    assert not NudgeWords.objects.visible_to(other_coach).exists()


def test_words_without_a_name_are_refused(as_coach: Client):
    refused = as_coach.post(WORDS, {"name": "", "text": "Hello"})
    assert refused.status_code == 422
    assert "Give the words a name." in refused.content.decode()


def test_words_are_changed(as_coach: Client, kept: NudgeWords):
    as_coach.post(edit(kept), {"name": "One set", "text": "Even one set."})
    kept.refresh_from_db()
    assert kept.text == "Even one set."


def test_a_wrong_change_keeps_what_was_typed(as_coach: Client, kept: NudgeWords):
    refused = as_coach.post(edit(kept), {"name": "", "text": "Even one set."})
    assert refused.status_code == 422
    assert "Even one set." in refused.content.decode()


def test_words_are_removed(as_coach: Client, kept: NudgeWords):
    assert as_coach.post(edit(kept), {"remove": "1"})["Location"] == WORDS
    assert not NudgeWords.objects.exists()


def test_it_refuses_another_coach(as_other_coach: Client, kept: NudgeWords):
    assert as_other_coach.get(edit(kept)).status_code == 404
    assert as_other_coach.post(edit(kept), {"remove": "1"}).status_code == 404
    assert NudgeWords.objects.exists()


def test_it_refuses_students(as_student: Client, kept: NudgeWords):
    assert as_student.get(WORDS).status_code == 404
    assert as_student.get(edit(kept)).status_code == 404


def test_it_asks_the_signed_out_to_sign_in(as_nobody: Client, kept: NudgeWords):
    for page in (WORDS, edit(kept)):
        assert reverse("account_login") in as_nobody.get(page)["Location"]


def test_it_refuses_put(as_coach: Client, kept: NudgeWords):
    assert as_coach.put(WORDS).status_code == 405
    assert as_coach.put(edit(kept)).status_code == 405
