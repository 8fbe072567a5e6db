"""A person's private calendar: next visits, and planned practice; its address, and what is on it.

The address holds a secret that opens this calendar and nothing else. Nothing in the database gives
it away: it is made of a number kept here and the site's secret key.
"""

from __future__ import annotations

import datetime

from django.conf import settings
from django.http import HttpRequest
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone
from django.utils.crypto import constant_time_compare, salted_hmac
from django.utils.safestring import SafeString

from lessons.practice.ical import Event, calendar
from lessons.practice.models import CalendarAddress, new_serial
from lessons.practice.today import newest_lesson, todays_page
from lessons.practice.words import count
from lessons.students.models import Student
from lessons.visits.models import Lesson
from portal.accounts.models import User

SALT = "lessons.practice.calendar"
PAST_DAYS = 30  # how long a visit that was stays on the calendar


def calendar_url(address: CalendarAddress) -> str:
    """The absolute address that a calendar program subscribes to."""
    return settings.SITE_URL + reverse("practice:feed", args=[_token(address)])


def open_calendar(user: User) -> CalendarAddress:
    """Give the person an address, or a new one: the old one opens nothing any more."""
    values = {"serial": new_serial(), "made_at": timezone.now()}
    return CalendarAddress.objects.update_or_create(user=user, defaults=values)[0]


def close_calendar(user: User) -> bool:
    """Take the address back. False if there is none."""
    return bool(CalendarAddress.objects.filter(user=user).delete()[0])


def owner_of(token: str) -> User | None:
    """Whose calendar an address opens; None if it was never made, renewed or taken back."""
    key = token.partition("-")[0]
    if not (key.isascii() and key.isdecimal() and len(key) < 19):
        return None
    address = CalendarAddress.objects.filter(user=key, user__is_active=True).first()
    if address is None or not constant_time_compare(_token(address), token):
        return None
    return address.user


def calendar_of(user: User, now: datetime.datetime) -> str:
    """The person's calendar as iCalendar text. A coach's has the visits of all their students."""
    events = visits(user, now)
    if not user.is_coach:
        for student in Student.objects.visible_to(user).current().select_related("user"):
            events += practice(student, user)
    return calendar("Golf lessons and practice", events, now)


def visits(user: User, now: datetime.datetime) -> list[Event]:
    """The next visit of each student the person sees, as their newest lesson says. One query."""
    students = Student.objects.visible_to(user).current()
    lessons = Lesson.objects.visible_to(user).filter(student__in=students)
    newest: dict[int, Lesson] = {}
    for lesson in lessons.select_related("student__coach"):
        newest.setdefault(lesson.student_id, lesson)
    earliest = now.date() - datetime.timedelta(days=PAST_DAYS)
    held = [one for one in newest.values() if one.next_visit and one.next_visit >= earliest]
    return [
        visit(lesson, user) for lesson in sorted(held, key=lambda one: (one.next_visit, one.pk))
    ]


def visit(lesson: Lesson, user: User) -> Event:
    """Named for the lesson before it, so that a moved visit moves instead of doubling."""
    student = lesson.student
    if user.is_coach:
        summary, page = f"Lesson: {student}", reverse("students:student", args=[student.pk])
    else:
        own = student.user_id == user.pk
        summary = f"Lesson with {student.coach}" if own else f"{student}: lesson"
        page = reverse("recaps:read", args=[lesson.pk])
    uid = f"visit-after-lesson-{lesson.pk}@{settings.SITE_HOST}"
    return Event(uid, lesson.next_visit, summary, url=settings.SITE_URL + page)


def practice(student: Student, user: User) -> list[Event]:
    """The days on which the plan asks for practice, from the student's own today on."""
    lesson = newest_lesson(student, user)
    if lesson is None:
        return []
    page = todays_page(lesson, user)
    names = {drill.assignment.pk: drill.assignment for drill in page.practice.drills}
    whose = "" if student.user_id == user.pk else f"{student}: "
    events = []
    for day in page.days:
        drills = [names[key] for key in day.keys]
        if not drills:
            continue
        words = [f"{drill.name}: {drill.dose_of_a_day}" for drill in drills]
        events.append(
            Event(
                uid=f"practice-{student.pk}-{day.day:%Y%m%d}@{settings.SITE_HOST}",
                day=day.day,
                summary=f"{whose}Practice, about {count(day.minutes, 'minute')}",
                description="\n".join([*words, "Stop if anything hurts."]),
                url=settings.SITE_URL + reverse("practice:today"),
            )
        )
    return events


def calendar_part(request: HttpRequest) -> SafeString:
    """The line on one's own page that leads to the calendar's address."""
    return render_to_string("practice/_calendar_part.html", request=request)


def _token(address: CalendarAddress) -> str:
    said = f"{address.user_id}-{address.serial}"
    seal = salted_hmac(SALT, said, algorithm="sha256").hexdigest()[:40]
    return f"{said}-{seal}"
