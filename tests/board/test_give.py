"""board:give, the same drills or note for several students at once."""

from __future__ import annotations

import uuid

import pytest
from django.test import Client
from django.urls import reverse

from lessons.board.models import Nudge
from lessons.drills.models import Assignment, Drill
from lessons.students.models import Guardian, Student
from portal.accounts.models import User
from portal.mail.models import Letter
from tests import factories
from tests.board.conftest import ago, taught

GIVE = "/board/give/"


@pytest.fixture
def gate(coach: User) -> Drill:
    return factories.DrillFactory(coach=coach, name="Alignment gate", feel="Narrow")


def send(client: Client, students: list[Student], drills: list[Drill], **fields: object):
    sent = {
        "key": str(uuid.uuid4()),
        "students": [student.pk for student in students],
        "drills": [drill.pk for drill in drills],
        **fields,
    }
    return client.post(GIVE, sent)


def given_to(student: Student) -> list[str]:
    return [one.name for one in Assignment.objects.holding().filter(lesson__student=student)]


def test_it_offers_students_and_drills(as_coach: Client, student: Student, gate: Drill):
    page = as_coach.get(f"{GIVE}?student={student.pk}").content.decode()
    assert student.name in page
    assert "Alignment gate" in page
    assert page.count("checked") == 1


def test_it_shows_who_gets_what_before_anything_is_given(
    as_coach: Client, student: Student, other_student: Student, gate: Drill
):
    taught(student, 3)
    lesson = taught(other_student, 3)
    Assignment.of(gate, lesson=lesson).save()
    never = factories.StudentFactory(coach=student.coach)
    over = factories.StudentFactory(coach=student.coach, cautions="No full swings yet.")
    taught(over, 30, next_visit=ago(1))
    page = send(as_coach, [student, other_student, never, over], [gate]).content.decode()
    assert "Who gets what" in page
    assert "Has already: Alignment gate" in page
    assert "No lesson is posted yet that a drill could belong to." in page
    assert "The next visit is over." in page
    assert "Caution on file: No full swings yet." in page
    assert not Letter.objects.exists()
    assert "Alignment gate" not in given_to(student)


def test_it_gives_copies_and_writes_a_letter_to_each(
    as_coach: Client, student: Student, other_student: Student, gate: Drill
):
    for one in (student, other_student):
        taught(one, 3)
    answer = send(
        as_coach, [student, other_student], [gate], note="For the match on Sunday.", give="1"
    )
    assert answer["Location"] == reverse("board:board")
    for one in (student, other_student):
        assert given_to(one) == ["sway gate", "feet together", "Alignment gate"]
        letter = Letter.objects.get(to=one.user.email)
        assert "For the match on Sunday." in letter.text
        assert "- Alignment gate: 3 x 10, 5 days a week" in letter.text
    assert Nudge.objects.filter(drills__contains="Alignment gate").count() == 2


def test_a_drill_improved_later_does_not_change_what_was_given(
    as_coach: Client, student: Student, gate: Drill
):
    taught(student, 3)
    send(as_coach, [student], [gate], give="1")
    gate.feel = "Wide"
    gate.save()
    assert Assignment.objects.get(drill=gate).feel == "Narrow"


def test_the_same_form_twice_gives_once(as_coach: Client, student: Student, gate: Drill):
    taught(student, 3)
    key = str(uuid.uuid4())
    for _ in range(2):
        send(as_coach, [student], [gate], key=key, give="1")
    assert given_to(student).count("Alignment gate") == 1
    assert Letter.objects.count() == 1


def test_an_open_recap_page_learns_of_it(as_coach: Client, student: Student, gate: Drill):
    recap = taught(student, 3).recap
    before = recap.version
    send(as_coach, [student], [gate], give="1")
    recap.refresh_from_db()
    assert recap.version == before + 1
    assert not recap.has_untold_change


def test_a_note_alone_goes_out_without_drills(as_coach: Client, student: Student):
    send(as_coach, [student], [], note="The range is closed on Friday.", give="1")
    assert "The range is closed on Friday." in Letter.objects.get().text


def test_a_juniors_letter_goes_to_the_guardian(
    as_coach: Client, junior: Student, guardian: Guardian, gate: Drill
):
    taught(junior, 3)
    send(as_coach, [junior], [gate], give="1")
    assert "Alignment gate" in given_to(junior)
    assert Letter.objects.get().to == guardian.user.email


def test_who_cannot_be_written_to_still_gets_the_drill(as_coach: Client, coach: User, gate: Drill):
    alone = factories.StudentFactory(coach=coach, user=None)
    taught(alone, 3, seen=False)
    page = send(as_coach, [alone], [gate]).content.decode()
    assert "has not signed in yet" in page
    send(as_coach, [alone], [gate], give="1")
    assert "Alignment gate" in given_to(alone)
    assert not Letter.objects.exists()


def test_change_leads_back_with_what_was_chosen(as_coach: Client, student: Student, gate: Drill):
    page = send(as_coach, [student], [gate], note="Hello", change="1").content.decode()
    assert page.count("checked") == 2
    assert "Hello" in page


@pytest.mark.parametrize(
    ("fields", "message"),
    [
        ({"students": []}, "Choose at least one student."),
        ({"drills": []}, "Choose a drill, or write a note."),
        ({"students": ["x"]}, "The page could not be read."),
        ({"drills": [0]}, "not in your library any more"),
        ({"key": "x"}, "That came with a broken mark."),
        ({"note": "x" * 2001}, "Shorten this to 2,000 letters; it has 2001."),
    ],
)
def test_bad_input_says_what_is_wrong(
    as_coach: Client, student: Student, gate: Drill, fields, message: str
):
    sent = {"key": uuid.uuid4(), "students": [student.pk], "drills": [gate.pk], "give": "1"}
    refused = as_coach.post(GIVE, {**sent, **fields})
    assert refused.status_code == 422
    assert message in refused.content.decode()
    assert not Letter.objects.exists()


def test_another_coachs_students_and_drills_are_refused(
    as_other_coach: Client, other_coach: User, student: Student, gate: Drill
):
    taught(student, 3)
    refused = send(as_other_coach, [student], [gate], give="1")
    assert refused.status_code == 422
    assert student.name not in refused.content.decode()
    assert "Alignment gate" not in given_to(student)


def test_it_refuses_students(as_student: Client):
    assert as_student.get(GIVE).status_code == 404
    assert as_student.post(GIVE).status_code == 404


def test_it_asks_the_signed_out_to_sign_in(as_nobody: Client):
    assert reverse("account_login") in as_nobody.get(GIVE)["Location"]


def test_it_refuses_put(as_coach: Client):
    assert as_coach.put(GIVE).status_code == 405
