"""The private calendar, read by the icalendar package.

Outside: RFC 5545 (sections 3.1 lines, 3.3.4 dates, 3.3.11 text, 3.8.4.7 UID), read from memory.
The package accepts impossible dates, so ranges are looked at here too.
"""

from __future__ import annotations

import datetime
import re

import pytest
import time_machine
from django.test import Client
from icalendar import Calendar

from lessons.drills.models import Assignment
from lessons.practice.calendar import calendar_url, close_calendar, open_calendar
from lessons.practice.ical import Event, calendar, escape, fold
from lessons.practice.models import CalendarAddress
from lessons.visits.models import Lesson
from tests import factories
from tests.conftest import signed_in

NOON = "2026-03-10T12:00:00+00:00"
UTC = datetime.UTC
AFTER_LESSON = datetime.datetime(2026, 3, 9, 12, tzinfo=UTC)


def path_of(user) -> str:
    return calendar_url(open_calendar(user)).removeprefix("http://testserver")


def events(path: str) -> list:
    """What a calendar program reads at an address, without signing in."""
    answer = Client().get(path)
    assert answer.status_code == 200
    assert answer["Content-Type"] == "text/calendar; charset=utf-8"
    return Calendar.from_ical(answer.content).walk("VEVENT")


def starting(found: list, word: str) -> list:
    return [event for event in found if str(event["UID"]).startswith(word)]


@pytest.fixture
def given(student):
    lesson = factories.LessonFactory(
        student=student,
        posted=True,
        date=datetime.date(2026, 3, 9),
        next_visit=datetime.date(2026, 3, 30),
    )
    given = factories.AssignmentFactory(lesson=lesson, name="sway gate; slow, please", minutes=10)
    posted_on_the_day()
    return given


def posted_on_the_day() -> None:
    """Rows were made before the test's clock was set: the drills hold from the lesson's day on."""
    Assignment.objects.update(created_at=AFTER_LESSON)
    Lesson.objects.update(posted_at=AFTER_LESSON)


@time_machine.travel(NOON, tick=False)
def test_the_next_visit_stands_on_its_day(student, given):
    (visit,) = starting(events(path_of(student.user)), "visit")
    assert visit["SUMMARY"] == f"Lesson with {student.coach}"
    assert visit["DTSTART"].dt == datetime.date(2026, 3, 30)
    assert visit["DTEND"].dt == datetime.date(2026, 3, 31)
    assert visit["URL"] == f"http://testserver/lessons/{given.lesson.pk}/read/"


@time_machine.travel(NOON, tick=False)
def test_a_moved_visit_is_the_same_event_on_another_day(student, given):
    path = path_of(student.user)
    (before,) = starting(events(path), "visit")
    given.lesson.next_visit = datetime.date(2026, 4, 2)
    given.lesson.save()
    (after,) = starting(events(path), "visit")
    assert after["UID"] == before["UID"]
    assert after["DTSTART"].dt == datetime.date(2026, 4, 2)


@time_machine.travel(NOON, tick=False)
def test_planned_practice_stands_on_days_before_the_visit(student, given):
    found = starting(events(path_of(student.user)), "practice")
    days = [event["DTSTART"].dt for event in found]
    assert len(days) == len(set(days)) > 5
    assert min(days) >= datetime.date(2026, 3, 10)
    assert max(days) < datetime.date(2026, 3, 30)
    assert "sway gate; slow, please: 3 x 10, about 10 minutes\n" in found[0]["DESCRIPTION"]
    assert len({str(event["UID"]) for event in found}) == len(found)
    for event in found:
        assert event["DTEND"].dt - event["DTSTART"].dt == datetime.timedelta(days=1)


@pytest.mark.parametrize(
    ("zone", "first"),
    [("Pacific/Auckland", "2026-03-11"), ("America/Los_Angeles", "2026-03-10")],
)
def test_today_is_the_students_own_day(student, given, zone, first):
    """At 13:00 UTC it is the next day in Auckland (UTC+13 in March: the tz database)."""
    student.user.time_zone = zone
    student.user.save()
    with time_machine.travel("2026-03-10T13:00:00+00:00", tick=False):
        found = starting(events(path_of(student.user)), "practice")
    assert found[0]["DTSTART"].dt.isoformat() >= first


@time_machine.travel(NOON, tick=False)
def test_a_guardian_has_the_juniors_calendar_and_a_coach_all_visits(guardian, student, given):
    lesson = factories.LessonFactory(
        student=guardian.student, posted=True, date=datetime.date(2026, 3, 9)
    )
    factories.AssignmentFactory(lesson=lesson, minutes=10)
    posted_on_the_day()
    found = events(path_of(guardian.user))
    assert starting(found, "visit")[0]["SUMMARY"] == f"{guardian.student}: lesson"
    assert str(starting(found, "practice")[0]["SUMMARY"]).startswith(f"{guardian.student}: ")
    names = {str(event["SUMMARY"]) for event in events(path_of(student.coach))}
    assert names == {f"Lesson: {student}", f"Lesson: {guardian.student}"}


@time_machine.travel(NOON, tick=False)
def test_it_shows_nothing_of_others_and_nothing_unposted(other_student, student, given):
    factories.LessonFactory(student=other_student, date=datetime.date(2026, 3, 9))
    assert events(path_of(other_student.user)) == []


def test_a_coachs_calendar_takes_the_same_queries_for_many(coach, django_assert_max_num_queries):
    for _ in range(20):
        factories.LessonFactory(student=factories.StudentFactory(coach=coach))
    path = path_of(coach)
    with django_assert_max_num_queries(4):
        assert len(events(path)) == 20


def test_every_line_is_folded_and_ended_as_the_standard_wants(student, given):
    given.name = "Größere Schwünge 🏌️ " * 4
    given.save()
    text = Client().get(path_of(student.user)).content
    assert text.endswith(b"END:VCALENDAR\r\n")
    assert b"\n" not in text.replace(b"\r\n", b"")
    assert max(len(line) for line in text.split(b"\r\n")) <= 75
    text.decode()
    for date in re.findall(rb"(?:DTSTART|DTEND);VALUE=DATE:(\d+)", text):
        datetime.datetime.strptime(date.decode(), "%Y%m%d")
    for stamp in re.findall(rb"DTSTAMP:(\S+)\r", text):
        datetime.datetime.strptime(stamp.decode(), "%Y%m%dT%H%M%SZ")


@pytest.mark.parametrize("words", ["a,b;c\\d", "two\nlines", "ünï 🏌️ " * 30, "\x07bell", "\\n"])
def test_words_come_back_as_they_were(words):
    day = datetime.date(2028, 2, 29)
    made = calendar("x", [Event("u@x", day, words)], datetime.datetime(2028, 1, 1, tzinfo=UTC))
    (event,) = Calendar.from_ical(made).walk("VEVENT")
    assert event["SUMMARY"] == words.replace("\x07", "")
    assert event["DTEND"].dt == datetime.date(2028, 3, 1)


def test_folding_never_breaks_a_character():
    folded = fold("x" * 74 + "🏌" + "y" * 80)
    for line in folded.split("\r\n"):
        assert len(line.encode()) <= 75
    assert folded.replace("\r\n ", "") == "x" * 74 + "🏌" + "y" * 80


def test_text_is_escaped():
    assert escape("a\\b;c,d\r\ne") == "a\\\\b\\;c\\,d\\ne"


def test_a_renewed_and_a_taken_back_address_open_nothing(student):
    first = path_of(student.user)
    second = path_of(student.user)
    assert first != second
    assert Client().get(first).status_code == 404
    assert Client().get(second).status_code == 200
    close_calendar(student.user)
    assert Client().get(second).status_code == 404


def test_an_address_that_was_guessed_opens_nothing(student, other_student):
    path = path_of(student.user)
    path_of(other_student.user)
    moved = path.replace(f"/{student.user.pk}-", f"/{other_student.user.pk}-")
    for wrong in (moved, path[:-6] + "0.ics", "/calendar/x.ics", f"/calendar/{'9' * 40}-a-b.ics"):
        assert Client().get(wrong).status_code == 404


def test_who_left_has_no_calendar(student):
    path = path_of(student.user)
    student.user.is_active = False
    student.user.save()
    assert Client().get(path).status_code == 404


def test_the_feed_only_reads(student):
    assert Client().post(path_of(student.user)).status_code == 405


URL = "/people/me/calendar/"


def test_the_page_makes_renews_and_takes_back_the_address(as_student, student):
    assert "Make the address" in as_student.get(URL).content.decode()
    as_student.post(URL, {"open": "1"})
    first = calendar_url(CalendarAddress.objects.get())
    page = as_student.get(URL).content.decode()
    assert first in page
    assert first.replace("http:", "webcal:") in page
    as_student.post(URL, {"open": "1"})
    assert first not in as_student.get(URL).content.decode()
    as_student.post(URL, {"close": "1"})
    as_student.post(URL, {"close": "1"})
    assert not CalendarAddress.objects.exists()


def test_each_has_their_own_address(as_student, as_other_student):
    as_student.post(URL, {"open": "1"})
    address = calendar_url(CalendarAddress.objects.get())
    assert address not in as_other_student.get(URL).content.decode()


def test_the_profile_leads_to_it(as_student, student):
    assert URL in signed_in(student.user).get("/people/me/").content.decode()


def test_a_stranger_signs_in_first_and_other_methods_are_refused(as_nobody, as_student):
    assert as_nobody.get(URL).status_code == 302
    assert as_nobody.post(URL, {"open": "1"}).status_code == 302
    assert as_student.put(URL).status_code == 405
