"""One's own switches and quiet hours, and a guardian's yes for a junior."""

from __future__ import annotations

import datetime

import pytest
from django.urls import reverse

from portal.notices.models import Permission, QuietHours, Switch
from portal.notices.telling import may_be_told
from tests.conftest import signed_in

URL = "/people/me/notices/"


def test_everything_is_on_at_first(as_student):
    page = as_student.get(URL).content.decode()
    assert "Your coach writes" in page
    assert "A student asks" not in page
    assert page.count("checked") == page.count('type="checkbox"') > 0


def test_it_keeps_the_switches_and_the_hours(as_student, student):
    as_student.post(URL, {"reply-letter": "on", "begin": "21:00", "end": "07:00"})
    switch = Switch.objects.get(kind="reply")
    assert (switch.by_letter, switch.by_push) == (True, False)
    recap = Switch.objects.get(kind="recap")
    assert (recap.by_letter, recap.by_push) == (False, False)
    hours = QuietHours.objects.get()
    assert (hours.user, hours.begin, hours.end) == (
        student.user,
        datetime.time(21),
        datetime.time(7),
    )
    as_student.post(URL, {"reply-letter": "on", "begin": "", "end": ""})
    assert not QuietHours.objects.exists()


@pytest.mark.parametrize(
    ("hours", "sentence"),
    [
        ({"begin": "21:00", "end": ""}, "Fill in both."),
        ({"begin": "21:00", "end": "21:00"}, "Leave both empty"),
        ({"begin": "late", "end": "07:00"}, "Write a time like 21:00."),
    ],
)
def test_hours_that_are_none_are_told(as_student, hours, sentence):
    answer = as_student.post(URL, hours)
    assert answer.status_code == 422
    assert sentence in answer.content.decode()
    assert not QuietHours.objects.exists()


def test_what_must_be_told_can_not_be_switched_off(as_coach):
    as_coach.post(URL, {"begin": "", "end": ""})
    assert Switch.objects.get(kind="consent").by_letter


def test_the_profile_leads_to_it(as_student):
    assert URL in as_student.get(reverse("accounts:profile")).content.decode()


def test_a_stranger_signs_in_first_and_other_methods_are_refused(as_nobody, as_student):
    assert as_nobody.get(URL).status_code == 302
    assert as_student.put(URL).status_code == 405


@pytest.fixture
def permission(guardian):
    return reverse("notices:permission", args=[guardian.student.user_id])


def test_a_guardian_says_yes_and_no_and_both_stay_on_record(as_guardian, guardian, permission):
    junior = guardian.student.user
    assert f"Allow notices to {junior}" in as_guardian.get(URL).content.decode()
    as_guardian.post(permission, {"allowed": "1"})
    as_guardian.post(permission, {"allowed": "1"})
    assert may_be_told(junior)
    as_guardian.post(permission, {"allowed": "0"})
    assert not may_be_told(junior)
    said = Permission.objects.order_by("pk").values_list("allowed", "by_name")
    assert list(said) == [(True, guardian.user.name), (False, guardian.user.name)]
    assert f"{guardian.user.name} said no" in as_guardian.get(URL).content.decode()


def test_a_junior_reads_who_decides(guardian):
    page = signed_in(guardian.student.user).get(URL).content.decode()
    assert "A parent or guardian decides" in page


def test_nobody_else_decides(as_coach, as_student, as_other_coach, as_nobody, guardian, permission):
    junior = signed_in(guardian.student.user)
    for client in (as_coach, as_student, as_other_coach, junior):
        assert client.post(permission, {"allowed": "1"}).status_code == 404
    assert as_nobody.post(permission, {"allowed": "1"}).status_code == 302
    assert not Permission.objects.exists()


def test_a_guardian_of_one_who_has_grown_up_decides_no_more(as_guardian, guardian, permission):
    guardian.student.born = datetime.date(1990, 1, 1)
    guardian.student.save()
    assert as_guardian.post(permission, {"allowed": "1"}).status_code == 404
    assert may_be_told(guardian.student.user)


def test_deciding_takes_a_post(as_guardian, permission):
    assert as_guardian.get(permission).status_code == 405
