"""board:nudge, a short reminder about one student."""

from __future__ import annotations

import datetime
import uuid

import pytest
import time_machine
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from lessons.board.models import Nudge, NudgeWords
from lessons.board.nudging import USUAL, NotSentError, send_nudge
from lessons.students.models import Guardian, Student
from portal.accounts.models import User
from portal.mail.models import Letter
from portal.notices.telling import switch
from tests import factories
from tests.board.conftest import practised, taught


def page_of(student: Student) -> str:
    return reverse("board:nudge", args=[student.pk])


def send(client: Client, student: Student, **fields: object):
    sent = {"key": str(uuid.uuid4()), "text": "One set of the sway gate counts.", **fields}
    return client.post(page_of(student), sent)


def test_it_begins_with_words_that_fit(as_coach: Client, student: Student):
    lesson = taught(student, 10)
    practised(lesson, "feet together", 9, 7, 6, 3, 1)
    page = as_coach.get(page_of(student)).content.decode()
    assert "A few minutes of sway gate this week" in page
    assert f"Goes to {student.name} by e-mail" in page


def test_pain_begins_with_care(as_coach: Client, student: Student):
    practised(taught(student, 5), "sway gate", 1, hurt=True)
    page = as_coach.get(page_of(student)).content.decode()
    assert "ask a doctor or a physiotherapist" in page.replace("\n", " ")


def test_the_coachs_own_words_can_be_chosen(as_coach: Client, student: Student, coach: User):
    taught(student, 5)
    words = NudgeWords.objects.create(
        coach=coach, name="Mine", text="{name}, {drill} before {date}."
    )
    page = as_coach.get(page_of(student) + f"?words={words.pk}").content.decode()
    visit = student.lessons.get().next_visit
    first = student.name.partition(" ")[0]
    assert f"{first}, sway gate before {visit:%A} {visit.day} {visit:%B}." in page


def test_anothers_words_are_not_taken(as_coach: Client, student: Student, other_coach: User):
    words = NudgeWords.objects.create(coach=other_coach, name="Theirs", text="Secret words")
    assert (
        "Secret words" not in as_coach.get(page_of(student) + f"?words={words.pk}").content.decode()
    )


def test_it_is_sent_kept_and_shown(as_coach: Client, student: Student):
    lesson = taught(student, 5)
    assert send(as_coach, student)["Location"] == reverse("board:board")
    nudge = Nudge.objects.get()
    assert (nudge.student, nudge.by, list(nudge.sent_to.all())) == (
        student,
        student.coach,
        [student.user],
    )
    letter = Letter.objects.get()
    assert letter.to == student.user.email
    assert letter.subject == f"A word from {student.coach}"
    assert "One set of the sway gate counts." in letter.text
    assert "/enter/" in letter.text
    assert student.user.sign_in_links.get().leads_to == reverse("recaps:read", args=[lesson.pk])
    assert "One set of the sway gate counts." in as_coach.get(page_of(student)).content.decode()


def test_the_coachs_page_about_the_student_shows_it(as_coach: Client, student: Student):
    send(as_coach, student)
    page = as_coach.get(reverse("students:student", args=[student.pk])).content.decode()
    assert "One set of the sway gate counts." in page
    assert page_of(student) in page
    assert reverse("board:brief", args=[student.pk]) in page


def test_a_juniors_goes_to_the_guardian_only(as_coach: Client, junior: Student, guardian: Guardian):
    taught(junior, 5)
    page = as_coach.get(page_of(junior)).content.decode()
    assert f"Goes to {guardian.name} by e-mail, because {junior.name} is under 18" in page
    send(as_coach, junior)
    letter = Letter.objects.get()
    assert letter.to == guardian.user.email
    assert letter.subject.startswith(f"About {junior.name}'s practice")
    assert list(Nudge.objects.visible_to(guardian.user)) == [Nudge.objects.get()]
    assert not Nudge.objects.visible_to(junior.user).exists()


def test_nobody_to_send_to_is_said_before_and_after(as_coach: Client, coach: User):
    alone = factories.StudentFactory(coach=coach, user=None)
    page = as_coach.get(page_of(alone)).content.decode()
    assert "has not signed in yet" in page
    assert "<textarea" not in page
    refused = send(as_coach, alone)
    assert refused.status_code == 409
    assert "has not signed in yet" in refused.content.decode()
    assert not Nudge.objects.exists()


def test_a_junior_without_a_guardian_gets_none(junior: Student):
    with pytest.raises(NotSentError, match="no guardian has signed in yet"):
        send_nudge(junior, junior.coach, "Hello", key=uuid.uuid4())


def test_the_same_form_twice_sends_one(as_coach: Client, student: Student):
    key = str(uuid.uuid4())
    for _ in range(2):
        assert send(as_coach, student, key=key).status_code == 302
    assert Nudge.objects.count() == Letter.objects.count() == 1


def test_another_within_a_day_asks_first(as_coach: Client, student: Student):
    send(as_coach, student)
    refused = send(as_coach, student, text="And another thing.")
    assert refused.status_code == 409
    page = refused.content.decode()
    assert "went out less than a day ago" in page
    assert "And another thing." in page
    assert Nudge.objects.count() == 1
    assert send(as_coach, student, again="on").status_code == 302
    assert Nudge.objects.count() == Letter.objects.count() == 2


def test_a_day_later_nothing_is_asked(as_coach: Client, student: Student):
    send(as_coach, student)
    with time_machine.travel(timezone.now() + datetime.timedelta(hours=25), tick=False):
        client = Client()
        client.force_login(student.coach)
        assert send(client, student).status_code == 302


def test_words_can_be_kept_under_a_name(as_coach: Client, student: Student):
    send(as_coach, student, keep_as="One set")
    send(as_coach, student, keep_as="One set", text="Changed.", again="on")
    assert [(words.name, words.text) for words in NudgeWords.objects.all()] == [
        ("One set", "Changed.")
    ]


@pytest.mark.parametrize(
    ("fields", "message"),
    [
        ({"text": " "}, "Write a line first."),
        ({"text": "x" * 2001}, "Shorten this to 2,000 letters; it has 2001."),
        ({"key": "nonsense"}, "That came with a broken mark."),
        ({"key": ""}, "That came without its mark."),
        ({"keep_as": "x" * 61}, "Shorten the name to 60 letters; it has 61."),
    ],
)
def test_bad_input_says_what_is_wrong(as_coach: Client, student: Student, fields, message: str):
    refused = send(as_coach, student, **fields)
    assert refused.status_code == 422
    assert message in refused.content.decode()
    assert not Nudge.objects.exists()


def test_all_usual_words_can_be_begun_with(as_coach: Client, student: Student):
    taught(student, 5)
    for usual in USUAL:
        page = as_coach.get(page_of(student) + f"?words={usual.key}").content.decode()
        assert "{" not in page[page.index("<textarea") : page.index("</textarea>")]


def test_it_refuses_another_coach(as_other_coach: Client, student: Student):
    assert as_other_coach.get(page_of(student)).status_code == 404
    assert send(as_other_coach, student).status_code == 404
    assert not Nudge.objects.exists()


def test_it_refuses_students_and_guardians(
    as_student: Client, as_guardian: Client, student: Student, junior: Student
):
    assert send(as_student, student).status_code == 404
    assert send(as_guardian, junior).status_code == 404


def test_it_asks_the_signed_out_to_sign_in(as_nobody: Client, student: Student):
    assert reverse("account_login") in as_nobody.get(page_of(student))["Location"]


def test_it_refuses_put(as_coach: Client, student: Student):
    assert as_coach.put(page_of(student)).status_code == 405


def test_who_switched_nudges_off_gets_none_and_the_coach_is_told(
    as_coach: Client, student: Student
):
    taught(student, 5)
    switch(student.user, "nudge", by_letter=False, by_push=False)
    answer = send(as_coach, student)
    assert answer.status_code == 409
    assert f"{student.name} has switched nudges off." in answer.content.decode()
    assert not Letter.objects.exists()
    assert not Nudge.objects.exists()
