"""The coach's pages about students."""

from __future__ import annotations

import datetime
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from lessons.students.models import Guardian, Student, handicap_words
from portal.accounts.models import User

LIST, ADD = reverse("students:list"), reverse("students:add")
TOBIAS = {"name": "A Student", "handed": "left", "adult": "on", "handicap": "17"}


def page(name: str, student: Student) -> str:
    return reverse(f"students:{name}", args=[student.pk])


@pytest.mark.parametrize("name", ["student", "edit", "add_guardian"])
def test_others_do_not_find_a_student(
    name: str,
    student: Student,
    as_other_coach: Client,
    as_student: Client,
    as_other_student: Client,
    as_guardian: Client,
    as_nobody: Client,
):
    for stranger in (as_other_coach, as_student, as_other_student, as_guardian):
        assert stranger.get(page(name, student)).status_code == 404
    assert as_nobody.get(page(name, student)).headers["Location"].startswith("/accounts/login/")


@pytest.mark.parametrize("name", ["archive", "invite", "withdraw"])
def test_others_change_nothing(
    name: str, student: Student, as_other_coach: Client, as_student: Client, as_nobody: Client
):
    for stranger in (as_other_coach, as_student):
        assert stranger.post(page(name, student)).status_code == 404
    assert as_nobody.post(page(name, student)).status_code == 302
    student.refresh_from_db()
    assert student.archived_at is None


@pytest.mark.parametrize("name", ["archive", "invite", "withdraw"])
def test_changes_need_a_button(name: str, student: Student, as_coach: Client):
    assert as_coach.get(page(name, student)).status_code == 405


def test_pages_reject_other_methods(student: Student, as_coach: Client):
    for path in (LIST, page("student", student), page("arrived", student)):
        assert as_coach.post(path).status_code == 405
    assert as_coach.delete(page("edit", student)).status_code == 405


def test_the_list_is_for_coaches(as_student: Client, as_guardian: Client, as_nobody: Client):
    for person in (as_student, as_guardian):
        assert person.get(LIST).status_code == 404
        assert person.get(ADD).status_code == 404
        assert person.post(ADD, TOBIAS).status_code == 404
    assert as_nobody.get(LIST).status_code == 302


def test_the_list_shows_ones_own_and_what_is_missing(
    coach: User, student: Student, guardian: Guardian, as_coach: Client, as_other_coach: Client
):
    shown = as_coach.get(LIST).content.decode()
    assert student.name in shown
    assert "No guardian&#x27;s consent yet" in shown or "No guardian's consent yet" in shown
    assert student.name not in as_other_coach.get(LIST).content.decode()


def test_the_list_takes_few_queries(
    coach: User,
    student: Student,
    other_student: Student,
    as_coach: Client,
    django_assert_max_num_queries,
):
    with django_assert_max_num_queries(8):
        as_coach.get(LIST)


@pytest.mark.django_db
def test_an_empty_list_says_what_to_do(as_coach: Client):
    assert "Add your first student" in as_coach.get(LIST).content.decode()


def test_it_adds_a_student(coach: User, as_coach: Client):
    answer = as_coach.post(ADD, TOBIAS | {"email": "New@Example.org"})
    made = Student.objects.get()
    assert answer.headers["Location"] == page("student", made)
    assert (made.coach, made.handed, made.handicap) == (coach, "left", Decimal(17))
    assert made.email == "new@example.org"
    assert not made.is_junior


def test_it_adds_a_junior_with_a_guardian(coach: User, as_coach: Client):
    sent = {"name": "A Junior", "handed": "right", "born": "2012-03-04"}
    sent |= {"guardian-name": "A Guardian", "guardian-email": "guardian@example.org"}
    as_coach.post(ADD, sent)
    made = Student.objects.get()
    assert made.is_junior
    assert not made.may_be_filmed
    assert made.guardians.get().email == "guardian@example.org"


def test_a_bad_guardian_keeps_the_student_from_being_half_added(coach: User, as_coach: Client):
    answer = as_coach.post(ADD, TOBIAS | {"guardian-name": "A Guardian"})
    assert not Student.objects.exists()
    assert "A Guardian" in answer.content.decode()


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"name": ""}, "required"),
        ({"email": "nowhere"}, "valid email"),
        ({"adult": ""}, "tick"),
        ({"born": "2999-01-01"}, "still to come"),
        ({"born": "1850-01-01"}, "Look at the year again"),
        ({"born": "2020-01-01"}, "under 18"),
        ({"born": "yesterday"}, "valid date"),
        ({"handed": "both"}, "valid choice"),
        ({"handicap": "-2"}, "Write a plus handicap with a plus"),
        ({"handicap": "seventeen"}, "Write it like 17, 4.2 or +2"),
        ({"handicap": "54.1"}, "from +10 to 54"),
        ({"handicap": "+11"}, "from +10 to 54"),
    ],
)
def test_it_says_what_is_wrong_and_keeps_the_rest(
    coach: User, as_coach: Client, wrong: dict[str, str], words: str
):
    sent = TOBIAS | {"aims": "Break 85 by autumn"} | wrong
    answer = as_coach.post(ADD, sent)
    assert answer.status_code == 422
    shown = answer.content.decode()
    assert words in shown
    assert "Break 85 by autumn" in shown
    assert not Student.objects.exists()


@pytest.mark.parametrize(
    ("typed", "stored", "shown"),
    # That a plus handicap is written with a plus is common practice, no source
    [
        ("17", "17", "17"),
        ("4,2", "4.2", "4.2"),
        ("+2", "-2", "+2"),
        ("0", "0", "0"),
        ("", None, ""),
    ],
)
def test_handicaps_are_read_and_shown_as_the_trade_writes_them(
    coach: User, as_coach: Client, typed: str, stored: str | None, shown: str
):
    as_coach.post(ADD, TOBIAS | {"handicap": typed})
    made = Student.objects.get()
    assert made.handicap == (None if stored is None else Decimal(stored))
    assert made.handicap_words == shown
    assert f'value="{shown}"' in as_coach.get(page("edit", made)).content.decode() or not shown


def test_a_round_handicap_has_no_exponent():
    assert handicap_words(Decimal("50.0")) == "50"


def test_cautions_stand_before_lessons(student: Student, as_coach: Client):
    Student.objects.update(cautions="Shoulder operation last year", aims="Swing without pain")
    shown = as_coach.get(page("student", student)).content.decode()
    assert shown.index("Shoulder operation last year") < shown.index("Lessons</h2>")
    assert "doctor or physiotherapist" in shown
    assert "Swing without pain" in shown


def test_it_changes_a_student_but_not_the_address_they_sign_in_with(
    student: Student, as_coach: Client
):
    sent = TOBIAS | {"name": "Renamed", "email": "evil@example.org"}
    assert as_coach.post(page("edit", student), sent).status_code == 302
    student.refresh_from_db()
    assert student.name == "Renamed"
    assert student.address == student.user.email != "evil@example.org"


def test_a_failed_edit_does_not_rename_the_page(student: Student, as_coach: Client):
    answer = as_coach.post(page("edit", student), TOBIAS | {"name": "", "handicap": "x"})
    assert f"Edit {student.name}" in answer.content.decode()


def test_archived_students_are_set_apart_and_come_back(student: Student, as_coach: Client):
    as_coach.post(page("archive", student))
    assert student.name not in as_coach.get(LIST).context["rows"].__str__()
    assert student.name in as_coach.get(LIST + "?archived=1").content.decode()
    as_coach.post(page("archive", student), {"back": "1"})
    assert student.name in as_coach.get(LIST).content.decode()


def test_archiving_twice_keeps_the_first_time(student: Student):
    assert student.archive()
    first = Student.objects.get().archived_at
    assert not student.archive()
    assert Student.objects.get().archived_at == first
    assert student.bring_back()
    assert not student.bring_back()


def test_text_is_shown_as_text(student: Student, as_coach: Client):
    Student.objects.update(name="<b>x</b>", cautions="<script>x</script>")
    shown = as_coach.get(page("student", student)).content.decode()
    assert "<script>x" not in shown
    assert "<b>x</b>" not in shown


def test_ages_turn_on_the_birthday():
    leap = Student(born=datetime.date(2008, 2, 29))
    assert leap.age_on(datetime.date(2026, 2, 28)) == 17
    assert leap.age_on(datetime.date(2026, 3, 1)) == 18
    assert Student().age_on(datetime.date(2026, 1, 1)) is None
