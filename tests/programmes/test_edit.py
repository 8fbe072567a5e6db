"""programmes:add, programmes:edit and programmes:reach, which are the coach's."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from lessons.programmes.models import Aim, Programme
from lessons.students.models import Student
from tests import factories
from tests.programmes.conftest import day

RIGHT = {
    "title": "Six lessons",
    "lessons_planned": 6,
    "begins_on": "2025-05-01",
    "aims": "Stop the hook\n\n  Keep  the low point \nStop the hook",
}


def add(student: Student) -> str:
    return reverse("programmes:add", args=[student.pk])


def edit(programme: Programme) -> str:
    return reverse("programmes:edit", args=[programme.pk])


def test_it_begins_with_the_first_lessons_day(as_coach: Client, student: Student):
    factories.LessonFactory(student=student, date=day(40))
    page = as_coach.get(add(student)).content.decode()
    assert f'value="{day(40):%Y-%m-%d}"' in page


def test_a_programme_is_begun_with_its_aims(as_coach: Client, student: Student):
    answer = as_coach.post(add(student), RIGHT)
    programme = Programme.objects.get()
    assert answer["Location"] == reverse("programmes:road", args=[programme.pk])
    assert programme.student == student
    assert [aim.words for aim in programme.aims.all()] == ["Stop the hook", "Keep the low point"]


@pytest.mark.parametrize(
    ("fields", "message"),
    [
        ({"title": ""}, "Give it a name."),
        ({"lessons_planned": ""}, "Say how many lessons."),
        ({"lessons_planned": 0}, "Write 1 or more."),
        ({"lessons_planned": 61}, "Write 60 or less."),
        ({"lessons_planned": "six"}, "Write a whole number."),
        ({"begins_on": "soon"}, "Write a date like"),
        ({"aims": "\n"}, "Write at least one aim"),
        ({"aims": "\n".join(f"Aim {n}" for n in range(13))}, "Keep it to 12 aims; these are 13."),
        ({"aims": "x" * 201}, "to 200 letters; it has 201."),
    ],
)
def test_bad_input_says_what_is_wrong(as_coach: Client, student: Student, fields, message: str):
    refused = as_coach.post(add(student), {**RIGHT, **fields})
    assert refused.status_code == 422
    assert message in refused.content.decode()
    assert not Programme.objects.exists()


def test_an_aim_that_stays_keeps_what_was_reached(as_coach: Client, programme: Programme):
    aim = programme.aims.get()
    aim.reach()
    aims = f"Hold the finish\n{aim.words}"
    assert as_coach.post(edit(programme), {**RIGHT, "aims": aims}).status_code == 302
    assert [(one.words, bool(one.reached_at)) for one in programme.aims.all()] == [
        ("Hold the finish", False),
        (aim.words, True),
    ]


def test_a_wrong_change_keeps_what_was_typed(as_coach: Client, programme: Programme):
    refused = as_coach.post(edit(programme), {**RIGHT, "title": "", "aims": "Something else"})
    assert refused.status_code == 422
    assert "Something else" in refused.content.decode()
    assert programme.aims.get().words == "Start lines within ten metres"


def test_it_is_ended_and_taken_up_again(as_coach: Client, programme: Programme):
    as_coach.post(edit(programme), {"end": "1"})
    programme.refresh_from_db()
    assert programme.ended_on == day(0)
    assert "Take it up again" in as_coach.get(edit(programme)).content.decode()
    as_coach.post(edit(programme), {"back": "1"})
    programme.refresh_from_db()
    assert programme.ended_on is None


def test_an_aim_is_reached_and_taken_back(as_coach: Client, programme: Programme):
    aim = programme.aims.get()
    path = reverse("programmes:reach", args=[aim.pk])
    for _ in range(2):
        assert as_coach.post(path).status_code == 302
        assert Aim.objects.get().reached_at is not None
    as_coach.post(path, {"back": "1"})
    assert Aim.objects.get().reached_at is None


def test_it_refuses_another_coach_and_the_student(
    as_other_coach: Client, as_student: Client, programme: Programme, student: Student
):
    reach = reverse("programmes:reach", args=[programme.aims.get().pk])
    for client in (as_other_coach, as_student):
        assert client.get(add(student)).status_code == 404
        assert client.post(add(student), RIGHT).status_code == 404
        assert client.get(edit(programme)).status_code == 404
        assert client.post(edit(programme), {"end": "1"}).status_code == 404
        assert client.post(reach).status_code == 404
    assert Programme.objects.get().ended_on is None
    assert Aim.objects.get().reached_at is None


def test_it_asks_the_signed_out_to_sign_in(
    as_nobody: Client, programme: Programme, student: Student
):
    for path in (add(student), edit(programme)):
        assert reverse("account_login") in as_nobody.get(path)["Location"]


def test_it_refuses_other_methods(as_coach: Client, programme: Programme, student: Student):
    assert as_coach.put(add(student)).status_code == 405
    assert as_coach.put(edit(programme)).status_code == 405
    reach = reverse("programmes:reach", args=[programme.aims.get().pk])
    assert as_coach.get(reach).status_code == 405
