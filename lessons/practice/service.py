"""What can be done with practice: log it, say more about it, take it back."""

from __future__ import annotations

import datetime
import uuid
import zoneinfo
from dataclasses import dataclass

from django.db import IntegrityError, transaction
from django.utils import timezone

from lessons.drills.models import Assignment
from lessons.practice.models import Log, PracticeTime, Rest
from lessons.practice.share import AS_SET_PERCENT
from lessons.practice.words import date_words
from lessons.students.models import Student
from lessons.visits.models import Lesson
from portal.accounts.models import User

MOST_PERCENT = 1000


class NotTakenError(Exception):
    """A log that is not kept; the message is a sentence for the person who sent it."""


@dataclass(frozen=True)
class Amount:
    """What was done if not as set: sets of reps each, minutes, or both."""

    sets: int | None = None
    reps: int | None = None
    minutes: int | None = None


AS_SET = Amount()


def zone_of(student: Student) -> datetime.tzinfo:
    """The student's own time zone; that of the request for one who has not chosen or signed in."""
    name = student.user.time_zone if student.user else ""
    return zoneinfo.ZoneInfo(name) if name else timezone.get_current_timezone()


def today_of(student: Student) -> datetime.date:
    """The day it is where the student is, whoever asks."""
    return timezone.localdate(timezone=zone_of(student))


def why_not(lesson: Lesson, today: datetime.date) -> str:
    """Why a lesson's drills take no more logs, as a sentence; empty while they do."""
    if lesson.next_visit is not None and today > lesson.next_visit:
        return (
            f"These drills held until {date_words(lesson.next_visit, today)}. "
            "If your next lesson has moved, ask your coach to change its date."
        )
    newer = (
        Lesson.objects.posted()
        .filter(student=lesson.student_id, date__gte=lesson.date)
        .exclude(date=lesson.date, number__lte=lesson.number)
    )
    if newer.exists():
        return "You have had a lesson since. Practise the drills of the newer one."
    return ""


def percent_of(amount: Amount, assignment: Assignment) -> int:
    """How much of one day's dose an amount is, in percent, at most MOST_PERCENT.

    By repetitions if the dose has them and some were said, else by minutes; sets or reps that
    were left out are as in the dose. 2 x 10 of 3 x 10 is 67 %. What can't be compared is as set.
    """
    if assignment.reps and (amount.sets or amount.reps):
        done = (amount.sets or assignment.sets or 1) * (amount.reps or assignment.reps)
        dose = (assignment.sets or 1) * assignment.reps
    elif assignment.minutes and amount.minutes:
        done, dose = amount.minutes, assignment.minutes
    elif assignment.sets and amount.sets:
        done, dose = amount.sets, assignment.sets
    else:
        return AS_SET_PERCENT
    return max(1, min(MOST_PERCENT, round(100 * done / dose)))


def log_practice(
    assignment: Assignment,
    by: User,
    day: datetime.date,
    *,
    client_id: uuid.UUID,
    again: bool = False,
) -> Log:
    """Keep that a day's dose was done as set; `say_more` adds the rest.

    One `client_id` is one log: the same form sent twice gives the first one back, undone or not.
    A second 'as set' for a day that has one gives that one back too, unless `again` says that it
    was done once more. Raises NotTakenError if the drill no longer takes logs or not for that day.
    """
    today = today_of(assignment.lesson.student)
    kept = Log.objects.filter(client_id=client_id).first()
    if kept is None:
        reason = why_not_on(assignment, day, today)
        if reason:
            raise NotTakenError(reason)
        try:
            kept = keep(assignment, by, day, client_id, again)
        except IntegrityError:  # the same form, sent twice at once: the other one won
            kept = Log.objects.get(client_id=client_id)
    if kept.assignment_id != assignment.pk:
        raise NotTakenError("That was for another drill. Reload the page and tap again.")
    return kept


@transaction.atomic
def keep(
    assignment: Assignment, by: User, day: datetime.date, client_id: uuid.UUID, again: bool
) -> Log:
    """The row: a new one, or the day's own as-set log. Taps from two phones wait for each other."""
    Assignment.objects.select_for_update().get(pk=assignment.pk)
    if not again:
        same = Log.objects.standing().filter(assignment=assignment, day=day).last()
        if same is not None:
            return same
    return Log.objects.create(assignment=assignment, by=by, day=day, client_id=client_id)


def why_not_on(assignment: Assignment, day: datetime.date, today: datetime.date) -> str:
    """Why a drill takes no log for a day, as a sentence; empty if it does."""
    if assignment.removed_at is not None:
        return "Your coach has taken this drill off your list. Reload the page to see what is left."
    if day > today:
        return "That day is still to come."
    if day < assignment.lesson.date:
        return "That was before the lesson. Log it for today instead."
    if day < today - datetime.timedelta(days=1):
        return "Only today and yesterday can be logged."
    return why_not(assignment.lesson, today)


class AlreadyLoggedError(NotTakenError):
    """The day has a log of that drill, and this one says more: the student chooses."""


def keep_later(
    assignment: Assignment,
    by: User,
    day: datetime.date,
    amount: Amount,
    *,
    client_id: uuid.UUID,
    felt: int | None = None,
    note: str = "",
    hurt: bool = False,
    again: bool = False,
) -> Log:
    """Keep a log that waited on the phone, with all it says, for the day it was done on.

    Sent again it changes nothing. Any day of the lesson's time is taken, however long the phone
    was without a signal. Raises NotTakenError with the reason, AlreadyLoggedError if the day has
    a log and keeping only one of the two would lose words.
    """
    kept = Log.objects.filter(client_id=client_id).first()
    if kept is not None:
        if kept.assignment_id != assignment.pk:
            raise NotTakenError("That was for another drill.")
        return kept
    reason = why_not_then(assignment, day, today_of(assignment.lesson.student))
    if reason:
        raise NotTakenError(reason)
    says_more = amount != AS_SET or bool(felt or note) or hurt
    try:
        with transaction.atomic():
            log = keep(assignment, by, day, client_id, again)
            if log.client_id == client_id:
                return say_more(log, amount, felt=felt, note=note, hurt=hurt)
    except IntegrityError:  # the phone sent it twice at once: the other one won
        return Log.objects.get(client_id=client_id)
    if says_more:
        raise AlreadyLoggedError(f"{assignment.name} is logged for that day already.")
    return log


def why_not_then(assignment: Assignment, day: datetime.date, today: datetime.date) -> str:
    """Why a drill takes no log of a day that may be long over, as a sentence; empty if it does."""
    lesson = assignment.lesson
    if day > today:
        return "That day is still to come. Look at the date and time zone of your phone."
    if day < lesson.date:
        return "That was before the lesson."
    if lesson.next_visit is not None and day > lesson.next_visit:
        return f"This drill held until {date_words(lesson.next_visit, today)}."
    if assignment.removed_at is not None:
        removed = timezone.localdate(assignment.removed_at, zone_of(lesson.student))
        if day > removed:
            return f"Your coach took this drill off your list on {date_words(removed, today)}."
    newer = Lesson.objects.posted().filter(student=lesson.student_id, date__gt=lesson.date)
    first = newer.order_by("date").first()
    if first is not None and day > first.date:
        return f"That was after your lesson on {date_words(first.date, today)}."
    return ""


def say_more(log: Log, amount: Amount, *, felt: int | None, note: str, hurt: bool) -> Log:
    """Say how much it was, how it felt, and anything else; the latest word stands."""
    Log.objects.filter(pk=log.pk).update(
        sets=amount.sets,
        reps=amount.reps,
        minutes=amount.minutes,
        percent=percent_of(amount, log.assignment),
        felt=felt,
        note=note,
        hurt=hurt,
    )
    log.refresh_from_db()
    return log


def undo_log(log: Log) -> bool:
    """Take a log back. False if it was taken back before: nothing changes."""
    return log.undo()


def set_minutes(student: Student, minutes: int) -> None:
    """Keep how many minutes a student has on a day of practice."""
    PracticeTime.objects.update_or_create(student=student, defaults={"minutes": minutes})


@transaction.atomic
def mark_rest(student: Student, by: User, why: str, until: datetime.date) -> Rest:
    """Rest from today until a day, that day included; said again, the latest word stands."""
    today = today_of(student)
    Student.objects.select_for_update().get(pk=student.pk)
    rest = Rest.objects.on(today).filter(student=student).first()
    if rest is None:
        return Rest.objects.create(student=student, by=by, why=why, first=today, last=until)
    Rest.objects.filter(pk=rest.pk).update(by=by, why=why, last=until)
    rest.refresh_from_db()
    return rest


def end_rest(student: Student) -> bool:
    """Back today. False if the student did not rest."""
    today = today_of(student)
    ended = [rest.end_before(today) for rest in Rest.objects.on(today).filter(student=student)]
    return any(ended)
