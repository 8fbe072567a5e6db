"""Out of a kind of letter in one click, without signing in (RFC 8058)."""

from __future__ import annotations

import re

import pytest
from django.test import Client

from portal.mail.models import Letter
from portal.notices.models import Switch
from portal.notices.telling import Told, tell
from portal.notices.unsubscribing import off_url
from tests.notices.conftest import letter_context

ONE_CLICK = {"List-Unsubscribe": "One-Click"}


@pytest.fixture
def person(student):
    return student.user


@pytest.fixture
def url(person, kind):
    return off_url(person, kind).removeprefix("http://testserver")


@pytest.fixture
def mail_program():
    """Signed in nowhere, without cookies, and no page was asked for a token first."""
    return Client(enforce_csrf_checks=True)


def test_a_mail_programs_post_switches_the_kind_off(mail_program, person, kind, url):
    """RFC 8058, section 3.2: a POST with this body, without cookies, and no redirect."""
    for _ in range(2):
        assert mail_program.post(url, ONE_CLICK).status_code == 200
    switch = Switch.objects.get()
    assert (switch.user, switch.kind, switch.by_letter, switch.by_push) == (
        person,
        kind,
        False,
        True,
    )
    tell(person, kind, "students/consent_given", letter_context(person), "/")
    assert not Letter.objects.exists()


def test_the_address_in_the_letter_is_the_one_that_works(mail_program, person, kind):
    tell(person, kind, "students/consent_given", letter_context(person), "/")
    address = Letter.objects.get().headers["List-Unsubscribe"].strip("<>")
    mail_program.post(address.removeprefix("http://testserver"), ONE_CLICK)
    told = tell(person, "reply", "students/consent_given", letter_context(person), "/")
    assert told is Told.NOW  # the other kinds stay


def test_opening_it_changes_nothing(mail_program, url):
    page = mail_program.get(url).content.decode()
    assert "Switch them off" in page
    assert not Switch.objects.exists()


def test_a_click_too_many_can_be_taken_back(mail_program, url):
    page = mail_program.post(url, ONE_CLICK).content.decode()
    assert re.search(r'name="back" value="1"', page)
    mail_program.post(url, {"back": "1"})
    assert Switch.objects.get().by_letter


@pytest.mark.parametrize("token", ["x", "1.reply", "1.reply:wrong", "1.no-such-kind:wrong"])
def test_an_address_that_was_not_made_here_says_so(mail_program, token, db):
    answer = mail_program.post(f"/notices/off/{token}/", ONE_CLICK)
    assert answer.status_code == 404
    assert "not complete" in answer.content.decode()


def test_it_rejects_other_methods(mail_program, url):
    assert mail_program.put(url).status_code == 405
