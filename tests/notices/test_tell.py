"""One notice to one person: by letter, by push, later, or not at all."""

from __future__ import annotations

import datetime

import pytest
import time_machine
from django.core import mail

from portal.mail.models import Letter
from portal.mail.tasks import send_letter
from portal.notices import tasks
from portal.notices.models import HeldNotice, Push, QuietHours
from portal.notices.telling import Told, permit, switch, tell
from tests.conftest import signed_in
from tests.notices.conftest import letter_context, take_pushes

LETTER = "students/consent_given"
EVENING = "2026-03-10T22:30:00+00:00"
MORNING = "2026-03-11T07:00:00+00:00"


def told(user, kind):
    return tell(user, kind, LETTER, letter_context(user), "/somewhere/")


@pytest.fixture
def person(student):
    return student.user


@pytest.fixture
def quiet(person):
    person.time_zone = "Europe/Dublin"
    person.save()
    times = datetime.time(21), datetime.time(7)
    return QuietHours.objects.create(user=person, begin=times[0], end=times[1])


def test_without_a_word_from_the_person_it_is_a_letter(person, kind):
    assert told(person, kind) is Told.NOW
    assert Letter.objects.get().to == person.email


def test_a_letter_has_the_two_headers_of_rfc_8058_and_the_address_in_its_text(person, kind):
    """RFC 8058, section 3.1: List-Unsubscribe an address, and the Post header."""
    told(person, kind)
    send_letter(Letter.objects.get().pk)
    sent = mail.outbox[0].message()
    assert sent["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"
    address = sent["List-Unsubscribe"]
    assert address.startswith("<http://testserver/notices/off/")
    assert address.strip("<>") in mail.outbox[0].body


def test_it_goes_to_each_browser_too(person, kind, browser, service):
    take_pushes(signed_in(person), browser, service.url)
    told(person, kind)
    push = Push.objects.get()
    assert (push.user, push.url, push.state) == (person, "/somewhere/", "waiting")
    assert push.body == Letter.objects.get().subject


@pytest.mark.parametrize(
    ("by_letter", "by_push", "letters", "pushes"),
    [(True, False, 1, 0), (False, True, 0, 1), (False, False, 0, 0)],
)
def test_each_way_can_be_switched_off(
    person, kind, browser, service, by_letter, by_push, letters, pushes
):
    take_pushes(signed_in(person), browser, service.url)
    switch(person, kind, by_letter=by_letter, by_push=by_push)
    assert told(person, kind) is (Told.NOW if letters or pushes else Told.NOT)
    assert (Letter.objects.count(), Push.objects.count()) == (letters, pushes)


def test_what_must_be_told_is_told_by_letter_with_no_way_out(coach):
    switch(coach, "consent", by_letter=False, by_push=False)
    assert told(coach, "consent") is Told.NOW
    assert Letter.objects.get().headers == {}
    assert "/notices/off/" not in Letter.objects.get().text


def test_quiet_hours_hold_it_until_they_end(person, kind, quiet):
    with time_machine.travel(EVENING, tick=False):
        assert told(person, kind) is Told.LATER
        held = HeldNotice.objects.get()
        tasks.tell_held(held.pk)
        assert not Letter.objects.exists()
        assert not HeldNotice.lost().exists()
    assert held.due_at.isoformat() == MORNING
    with time_machine.travel(MORNING, tick=False):
        assert HeldNotice.lost().get() == held
        tasks.tell_held(held.pk)
        tasks.tell_held(held.pk)
    assert Letter.objects.get().subject == held.subject
    held.refresh_from_db()
    assert (held.state, held.text) == ("told", "")


def test_what_is_switched_off_over_night_is_not_told_in_the_morning(person, kind, quiet):
    with time_machine.travel(EVENING, tick=False):
        told(person, kind)
    switch(person, kind, by_letter=False, by_push=False)
    with time_machine.travel(MORNING, tick=False):
        tasks.tell_held(HeldNotice.objects.get().pk)
    assert not Letter.objects.exists()


def test_by_day_it_goes_at_once(person, kind, quiet):
    with time_machine.travel("2026-03-10T12:00:00+00:00", tick=False):
        assert told(person, kind) is Told.NOW


def test_a_junior_hears_nothing_without_a_guardians_yes(guardian, kind):
    junior = guardian.student.user
    assert told(junior, kind) is Told.NOT
    permit(junior, guardian.user, allowed=True)
    assert told(junior, kind) is Told.NOW
    permit(junior, guardian.user, allowed=False)
    assert told(junior, kind) is Told.NOT
    assert Letter.objects.count() == 1


def test_a_yes_of_somebody_who_is_no_guardian_counts_for_nothing(guardian, kind, coach):
    junior = guardian.student.user
    permit(junior, coach, allowed=True)
    permit(junior, junior, allowed=True)
    assert told(junior, kind) is Told.NOT


def test_a_yes_withdrawn_over_night_holds_in_the_morning(guardian, kind):
    junior = guardian.student.user
    permit(junior, guardian.user, allowed=True)
    times = {"begin": datetime.time(21), "end": datetime.time(7)}
    QuietHours.objects.create(user=junior, **times)
    with time_machine.travel(EVENING, tick=False):
        assert told(junior, kind) is Told.LATER
    permit(junior, guardian.user, allowed=False)
    with time_machine.travel(MORNING, tick=False):
        tasks.tell_held(HeldNotice.objects.get().pk)
    assert not Letter.objects.exists()


def test_a_kind_that_nobody_registered_is_a_mistake_of_the_program(person):
    with pytest.raises(KeyError):
        told(person, "no-such-kind")
