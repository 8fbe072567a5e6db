"""board:group and the groups on board:give: students and drills chosen together, by a name."""

from __future__ import annotations

import uuid

import pytest
from django.test import Client
from django.urls import reverse

from lessons.board.models import StudentGroup
from lessons.drills.models import Assignment, Drill
from lessons.students.models import Student
from portal.accounts.models import User
from tests import factories
from tests.board.conftest import taught

GIVE = "/board/give/"


@pytest.fixture
def gate(coach: User) -> Drill:
    return factories.DrillFactory(coach=coach, name="Alignment gate")


@pytest.fixture
def thursday(coach: User, student: Student, other_student: Student, gate: Drill) -> StudentGroup:
    group = factories.StudentGroupFactory(coach=coach, name="Thursday ladies")
    group.students.set([student, other_student])
    group.drills.set([gate])
    return group


def change(group: StudentGroup) -> str:
    return reverse("board:group", args=[group.pk])


def sent(students: list[Student], drills: list[Drill], **fields: object) -> dict[str, object]:
    keys = {"students": [one.pk for one in students], "drills": [one.pk for one in drills]}
    return {"key": str(uuid.uuid4()), **keys, **fields}


def test_a_choice_is_kept_under_a_name_and_given_again_in_one_tap(
    as_coach: Client, student: Student, other_student: Student, gate: Drill
):
    for one in (student, other_student):
        taught(one, 3)
    page = as_coach.post(GIVE, sent([student, other_student], [gate], keep_as="Thursday ladies"))
    assert "Thursday ladies is among your groups." in page.content.decode()
    assert not Assignment.objects.filter(drill=gate).exists(), "nothing is given yet"
    group = StudentGroup.objects.get()
    page = as_coach.get(f"{GIVE}?group={group.pk}").content.decode()
    assert f'href="?group={group.pk}"' in page
    assert page.count("checked") == 3


def test_the_same_name_takes_the_new_choice(
    as_coach: Client, thursday: StudentGroup, student: Student
):
    as_coach.post(GIVE, sent([student], [], note="Hello", keep_as="Thursday ladies"))
    thursday.refresh_from_db()
    assert list(thursday.students.all()) == [student]
    assert not thursday.drills.exists()


def test_who_was_put_aside_is_not_offered(
    as_coach: Client, thursday: StudentGroup, student: Student
):
    student.archive()
    page = as_coach.get(f"{GIVE}?group={thursday.pk}").content.decode()
    assert student.name not in page
    assert page.count("checked") == 2


def test_it_is_changed(as_coach: Client, thursday: StudentGroup, other_student: Student):
    data = {"name": "Friday", "students": [other_student.pk]}
    assert as_coach.post(change(thursday), data)["Location"] == f"{GIVE}?group={thursday.pk}"
    thursday.refresh_from_db()
    assert (thursday.name, list(thursday.students.all())) == ("Friday", [other_student])


def test_it_is_removed_and_what_was_given_stays(
    as_coach: Client, thursday: StudentGroup, student: Student, gate: Drill
):
    taught(student, 3)
    as_coach.post(GIVE, sent([student], [gate], give="1"))
    assert as_coach.post(change(thursday), {"remove": "1"})["Location"] == GIVE
    assert not StudentGroup.objects.exists()
    assert Assignment.objects.filter(drill=gate).exists()


@pytest.mark.parametrize(
    ("data", "message"),
    [
        ({"name": ""}, "Give the group a name."),
        ({"name": "x" * 61}, "Shorten the name to 60 letters"),
        ({"name": "Juniors"}, "You have a group of that name."),
        ({"students": []}, "Choose at least one student."),
        ({"students": [0]}, "not among yours any more"),
        ({"drills": [0]}, "not in your library any more"),
    ],
)
def test_bad_input_says_what_is_wrong(
    as_coach: Client, coach: User, thursday: StudentGroup, student: Student, data, message: str
):
    factories.StudentGroupFactory(coach=coach, name="Juniors")
    answer = as_coach.post(change(thursday), {"name": "A", "students": [student.pk], **data})
    assert answer.status_code == 422
    assert message in answer.content.decode()
    thursday.refresh_from_db()
    assert thursday.name == "Thursday ladies"


def test_another_coachs_group_chooses_nobody(as_other_coach: Client, thursday: StudentGroup):
    page = as_other_coach.get(f"{GIVE}?group={thursday.pk}").content.decode()
    assert "Thursday ladies" not in page
    assert "checked" not in page


def test_it_refuses_another_coach(as_other_coach: Client, thursday: StudentGroup):
    assert as_other_coach.get(change(thursday)).status_code == 404
    assert as_other_coach.post(change(thursday), {"remove": "1"}).status_code == 404


def test_it_refuses_students(as_student: Client, thursday: StudentGroup):
    assert as_student.get(change(thursday)).status_code == 404


def test_it_asks_the_signed_out_to_sign_in(as_nobody: Client, thursday: StudentGroup):
    assert reverse("account_login") in as_nobody.get(change(thursday))["Location"]


def test_it_refuses_put(as_coach: Client, thursday: StudentGroup):
    assert as_coach.put(change(thursday)).status_code == 405
