"""What today's page shows: what to do now, in which order, how long it takes, and what comes."""

from __future__ import annotations

import datetime
import math
from dataclasses import dataclass
from functools import cached_property

from lessons.practice.models import Rest
from lessons.practice.pages import LessonPractice, TodaysDrill, lesson_practice
from lessons.practice.plan import USUAL_MINUTES, Dose, PlanDay, plan, turns
from lessons.practice.records import dose_of, logs_done, pauses_of
from lessons.practice.service import zone_of
from lessons.practice.words import count, date_words
from lessons.students.models import Student
from lessons.visits.models import Lesson
from portal.accounts.models import User

COMING_DAYS = 6
# Days that the page carries, so that it is right without a signal on a later one
CARRIED_DAYS = 28


@dataclass(frozen=True)
class ListedDrill:
    """One drill on the list of a day, with how long its dose takes."""

    drill: TodaysDrill
    seconds: int

    @property
    def minutes(self) -> int:
        return math.ceil(self.seconds / 60)


@dataclass(frozen=True)
class ComingDay:
    """One of the next days, in a line."""

    day: datetime.date
    names: list[str]
    is_paused: bool
    is_visit: bool = False


@dataclass
class Today:
    """Today's page of one student and their newest lesson."""

    student: Student
    practice: LessonPractice
    doses: dict[int, Dose]
    days: list[PlanDay]
    rest: Rest | None
    minutes: int
    says_minutes: bool

    @property
    def lesson(self) -> Lesson:
        return self.practice.lesson

    @property
    def zone(self) -> str:
        return str(zone_of(self.student))

    @property
    def plan_day(self) -> PlanDay:
        """Today's part of the plan; an empty day when the lesson's time is over."""
        return self.days[0] if self.days else PlanDay(self.practice.today)

    def listed(self, keys: tuple[int, ...]) -> list[ListedDrill]:
        by_key = {drill.assignment.pk: drill for drill in self.practice.drills}
        return [ListedDrill(by_key[key], self.doses[key].seconds) for key in keys]

    @cached_property
    def planned(self) -> list[ListedDrill]:
        """Today's drills in the order in which they begin."""
        order = [turn.key for turn in turns(self.doses_of(self.plan_day), self.plan_day.day)]
        return self.listed(tuple(dict.fromkeys(order)))

    @cached_property
    def others(self) -> list[ListedDrill]:
        """Drills that today does not ask for; doing them is as welcome."""
        keys = [drill.assignment.pk for drill in self.practice.drills]
        return self.listed(tuple(key for key in keys if key not in self.plan_day.keys))

    def doses_of(self, day: PlanDay) -> list[Dose]:
        return [self.doses[key] for key in day.keys]

    @property
    def is_done(self) -> bool:
        return bool(self.planned) and all(one.drill.done_today for one in self.planned)

    @property
    def headline(self) -> str:
        """'2 drills today, about 18 minutes'."""
        if self.practice.closed:
            return "These drills are over"
        if self.rest:
            return f"Resting until {date_words(self.rest.last, self.practice.today)}"
        if self.is_done:
            return "Done for today"
        if not self.planned:
            return self.quiet_headline
        return (
            f"{count(len(self.planned), 'drill')}, about {count(self.plan_day.minutes, 'minute')}"
        )

    @property
    def quiet_headline(self) -> str:
        """What a day says that asks for nothing."""
        if self.practice.today == self.lesson.next_visit:
            return "Your lesson is today"
        is_first = any(d.given.given_on >= self.practice.today for d in self.doses.values())
        return "Your drills begin tomorrow" if is_first else "Nothing to do today"

    @property
    def coming(self) -> list[ComingDay]:
        names = {drill.assignment.pk: drill.assignment.name for drill in self.practice.drills}
        made = [
            ComingDay(day.day, [names[key] for key in day.keys], day.is_paused)
            for day in self.days[1 : 1 + COMING_DAYS]
        ]
        visit = self.lesson.next_visit
        if made and visit and len(made) < COMING_DAYS:
            made.append(ComingDay(visit, [], is_paused=False, is_visit=True))
        return made

    @property
    def carried(self) -> list[dict[str, object]]:
        """The plan as the page's script reads it: a row a day, a row a turn."""
        return [
            {
                "day": day.day.isoformat(),
                "minutes": day.minutes,
                "paused": day.is_paused,
                "turns": [
                    [turn.key, turn.number, turn.of, turn.reps or 0, turn.seconds]
                    for turn in turns(self.doses_of(day), day.day)
                ],
            }
            for day in self.days[:CARRIED_DAYS]
        ]

    @property
    def doing(self) -> dict[int, list[list[int]]]:
        """Each drill's own turns, for one that is done by itself."""
        return {
            key: [
                [turn.key, turn.number, turn.of, turn.reps or 0, turn.seconds]
                for turn in turns([dose], self.practice.today)
            ]
            for key, dose in self.doses.items()
        }


def newest_lesson(student: Student, user: User) -> Lesson | None:
    """The newest posted lesson of a student, as the user may see it."""
    lessons = Lesson.objects.visible_to(user).posted().filter(student=student)
    return lessons.select_related("student__coach", "student__user").first()


def todays_page(lesson: Lesson, user: User) -> Today:
    """What today's page of a lesson shows; eight queries."""
    student = lesson.student
    practice = lesson_practice(lesson, user)
    zone = zone_of(student)
    doses = {d.assignment.pk: dose_of(d.assignment, lesson, zone) for d in practice.drills}
    said = getattr(student, "practice_time", None)
    minutes = said.minutes if said else USUAL_MINUTES
    logs = [log for drill in practice.drills for log in drill.logs]
    days = plan(
        list(doses.values()),
        logs_done(logs),
        lesson.date,
        practice.today,
        minutes=minutes,
        next_visit=lesson.next_visit,
        pauses=pauses_of([student])[student.pk],
    )
    return Today(
        student=student,
        practice=practice,
        doses=doses,
        days=[] if practice.closed else days,
        rest=Rest.objects.on(practice.today).filter(student=student).first(),
        minutes=minutes,
        says_minutes=said is not None,
    )
