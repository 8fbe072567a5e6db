"""Reminding a person of practice at the time they chose, on a day that asks for some."""

from __future__ import annotations

import datetime
import math
import zoneinfo

from django.conf import settings
from django.db import transaction
from django.urls import reverse

from lessons.practice.clock import come_on
from lessons.practice.models import Reminder
from lessons.practice.today import ListedDrill, newest_lesson, todays_page
from lessons.students.models import Student
from portal.accounts.links import sign_in_url
from portal.accounts.middleware import time_zone_of
from portal.accounts.models import User
from portal.notices.models import QuietHours
from portal.notices.quiet import is_quiet
from portal.notices.telling import may_be_told, quiet_end, tell, wants

KIND = "practice"
LINK_LIFE = datetime.timedelta(days=2)


class InQuietHoursError(Exception):
    """A time at which the person wants to hear nothing; the message is a sentence for them."""


def person_zone(user: User) -> zoneinfo.ZoneInfo:
    """Whose clock the reminder follows: the person's own, else that of the coach's place."""
    return time_zone_of(user.time_zone) or zoneinfo.ZoneInfo(settings.TIME_ZONE)


def set_reminder(student: Student, user: User, at: datetime.time, now: datetime.datetime) -> None:
    """Keep when to remind; a time that is just over begins tomorrow. Raises InQuietHoursError."""
    hours = QuietHours.objects.filter(user=user).first()
    if hours and is_quiet(at, hours.begin, hours.end):
        raise InQuietHoursError(
            f"You want quiet from {hours.begin:%H:%M} to {hours.end:%H:%M}. Choose a time outside "
            "of that, or change your quiet hours."
        )
    values = {"at": at, "last_on": come_on(now, person_zone(user), at)}
    Reminder.objects.update_or_create(student=student, user=user, defaults=values)


def stop_reminder(student: Student, user: User) -> bool:
    """No more reminders of this student's practice. False if there were none."""
    return bool(Reminder.objects.filter(student=student, user=user).delete()[0])


def why_silent(reminder: Reminder) -> str:
    """Why a reminder that is set does not come, as a sentence; empty if it does."""
    user = reminder.user
    if not may_be_told(user):
        return "A parent or guardian decides whether notices come to you, and has not said yes."
    if not wants(user, KIND):
        return "You have switched these notices off."
    hours = QuietHours.objects.filter(user=user).first()
    if hours and is_quiet(reminder.at, hours.begin, hours.end):
        return "This is in your quiet hours, so nothing comes."
    return ""


def due_reminders(now: datetime.datetime) -> list[int]:
    """The keys of the reminders whose time has come and that were not taken up. One query.

    All are looked at: what the clock says differs from zone to zone, and a row is small.
    """
    rows = Reminder.objects.select_related("user")
    days = [(row, come_on(now, person_zone(row.user), row.at)) for row in rows]
    return [row.pk for row, day in days if day and (row.last_on is None or row.last_on < day)]


def remind(pk: int, now: datetime.datetime) -> bool:
    """Tell a person whose time has come, once a day, if there is anything to do. True if told.

    Nothing is said on a day of rest, when the day is done or asks for nothing, in quiet hours (a
    held reminder would come on the wrong day), or to a junior without a guardian's yes.
    """
    reminder = Reminder.objects.select_related("user", "student").filter(pk=pk).first()
    if reminder is None:
        return False
    user = reminder.user
    day = come_on(now, person_zone(user), reminder.at)
    if day is None:
        return False
    with transaction.atomic():
        # The turn and the letter together: both are kept, or neither
        if not reminder.take(day) or quiet_end(user, now) or not wants(user, KIND):
            return False
        left = left_today(reminder.student, user)
        if not left:
            return False
        page = f"{reverse('practice:today')}?student={reminder.student_id}"
        context = {
            "to": user,
            "student": reminder.student,
            "is_own": reminder.student.user_id == user.pk,
            "left": left,
            "minutes": math.ceil(sum(one.seconds for one in left) / 60),
            "link": sign_in_url(user, page, LINK_LIFE),
        }
        tell(user, KIND, "practice/reminder", context, page)
    return True


def left_today(student: Student, user: User) -> list[ListedDrill]:
    """What today's plan asks of a student and is not done; empty on a day of rest."""
    seen = Student.objects.visible_to(user).current().select_related("user")
    found = seen.filter(pk=student.pk).first()
    lesson = newest_lesson(found, user) if found else None
    if lesson is None:
        return []
    page = todays_page(lesson, user)
    if page.rest or page.practice.closed:
        return []
    return [one for one in page.planned if not one.drill.done_today]
