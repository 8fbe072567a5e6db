"""Makes the demo's rows of people, drills, lessons and practice; films come in later."""

from __future__ import annotations

import datetime

from django.db import transaction
from django.utils import timezone

from lessons.board.giving import keep_group
from lessons.clips.models import Clip
from lessons.drills.models import Assignment, Drill
from lessons.practice.models import Log
from lessons.programmes.models import Programme
from lessons.programmes.service import keep_programme
from lessons.recaps.models import Finding, Recap, Seen
from lessons.students.consents import consent_text, give_consent
from lessons.students.models import Consent, Guardian, Student
from lessons.visits.models import Lesson
from portal.accounts.models import User
from portal.operations.demo.talk import make_talk
from portal.operations.demo.words import COACH, DRILLS, GROUPS, PEOPLE, Person, Told


def morning(day: datetime.date, hour: int = 9) -> datetime.datetime:
    """A time on a day, in the coach's time zone."""
    return timezone.make_aware(datetime.datetime.combine(day, datetime.time(hour)))


def make_people() -> User:
    """Coach, drills, students, guardian and their lessons so far; returns the coach."""
    coach = User.objects.create_user(COACH[1], COACH[0], User.Role.COACH)
    drills = {str(d["name"]): Drill.objects.create(coach=coach, **d) for d in DRILLS}
    for person in PEOPLE:
        _make_student(coach, person, drills)
    for name, students, chosen in GROUPS:
        theirs = Student.objects.filter(coach=coach, name__in=students)
        keep_group(coach, name, theirs, [drills[drill] for drill in chosen])
    make_talk()
    return coach


def forget_people() -> None:
    """Remove what a filling that was cut off has left; the sweep clears its files later."""
    emails = [COACH[1], *(p.email for p in PEOPLE), *(p.guardian[1] for p in PEOPLE if p.guardian)]
    theirs = User.objects.filter(email__in=emails)
    # A real consent is kept for good; the demo's guardian does not exist
    Consent.objects.filter(guardian__student__coach__in=theirs).delete()
    Student.objects.filter(coach__in=theirs).delete()
    Clip.objects.filter(coach__in=theirs).delete()
    theirs.delete()


def _make_student(coach: User, person: Person, drills: dict[str, Drill]) -> Student:
    today = timezone.localdate()
    student = Student.objects.create(
        coach=coach,
        user=User.objects.create_user(person.email, person.name, User.Role.STUDENT),
        name=person.name,
        email=person.email,
        born=today.replace(year=today.year - person.born_years_ago, day=1, month=1),
        handed=person.handed,
        handicap=person.handicap,
        aims=person.aims,
        cautions=person.cautions,
    )
    if person.guardian:
        name, email = person.guardian
        user = User.objects.create_user(email, name, User.Role.GUARDIAN)
        guardian = Guardian.objects.create(student=student, user=user, name=name, email=email)
        give_consent(guardian, user, consent_text(guardian))
    before: list[Finding] = []
    for number, told in enumerate(person.lessons, start=1):
        before = _make_lesson(student, number, told, drills, before)
    if person.programme:
        _begin_programme(student, *person.programme)
    return student


def _begin_programme(student: Student, title: str, lessons: int, aims: tuple[str, ...]) -> None:
    first = student.lessons.earliest("date")
    programme = Programme(
        student=student, title=title, lessons_planned=lessons, begins_on=first.date
    )
    keep_programme(programme, aims)


@transaction.atomic
def _make_lesson(
    student: Student, number: int, told: Told, drills: dict[str, Drill], before: list[Finding]
) -> list[Finding]:
    date = timezone.localdate() - datetime.timedelta(days=told.days_ago)
    posted = morning(date + datetime.timedelta(days=1), 8)
    lesson = Lesson.objects.create(
        student=student,
        number=number,
        date=date,
        theme=told.theme,
        next_visit=date + datetime.timedelta(days=told.for_days),
        posted_at=min(posted, timezone.now()),
    )
    recap = Recap.objects.create(lesson=lesson, main_point=told.main_point, body=told.body)
    findings = []
    for order, (what, why, ball, standing) in enumerate(told.findings):
        came_from = next((f for f in before if f.what == what), None)
        findings.append(
            Finding.objects.create(
                recap=recap,
                what=what,
                why=why,
                ball=ball,
                standing=standing,
                order=order,
                came_from=came_from,
            )
        )
    for order, name in enumerate(told.drills):
        given = Assignment.of(drills[name], lesson=lesson, order=order)
        given.save()
        Assignment.objects.filter(pk=given.pk).update(created_at=posted)
        _log(given, told)
    if told.seen:
        seen = Seen.objects.create(recap=recap, user=student.user)
        at = min(posted + datetime.timedelta(hours=3), timezone.now())
        Seen.objects.filter(pk=seen.pk).update(first_at=at, last_at=at)
    return findings


def _log(given: Assignment, told: Told) -> None:
    for after, felt in told.practised.get(given.name, {}).items():
        day = given.lesson.date + datetime.timedelta(days=after)
        if day > timezone.localdate():
            continue
        log = Log.objects.create(
            assignment=given,
            by=given.lesson.student.user,
            day=day,
            felt=felt,
            note=told.notes.get((given.name, after), ""),
        )
        Log.objects.filter(pk=log.pk).update(created_at=morning(day, 18))
