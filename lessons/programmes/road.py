"""The road of a programme: from its first lesson to now. Reads, and decides nothing else."""

from __future__ import annotations

import dataclasses
import datetime
from collections import defaultdict
from collections.abc import Container, Sequence
from dataclasses import dataclass
from itertools import zip_longest

from lessons.clips.models import Position, Still
from lessons.practice.models import Log
from lessons.practice.records import given_of, logs_done, pauses_of
from lessons.practice.service import today_of, zone_of
from lessons.practice.share import dose_share
from lessons.practice.words import count
from lessons.programmes.models import Aim, Programme
from lessons.programmes.trend import Trend, trend
from lessons.recaps.history import courses
from lessons.recaps.models import Finding, Recap, RecapStill
from lessons.visits.models import Lesson, Part

PART_ORDER = (Part.START, Part.MIDDLE, Part.END)


@dataclass(frozen=True)
class Stop:
    """One lesson on the road: its place from 1, its recap, and the share of its dose done."""

    place: int
    lesson: Lesson
    recap: Recap | None
    percent: int | None


@dataclass(frozen=True)
class Course:
    """One finding along the road: where it stood at each stop at which it was written down."""

    what: str
    stands: list[tuple[Stop, Finding]]
    last_place: int

    @property
    def is_open(self) -> bool:
        return not self.is_held and not self.is_dropped

    @property
    def is_held(self) -> bool:
        return self.stands[-1][1].standing == Finding.Standing.HOLDING

    @property
    def is_dropped(self) -> bool:
        """Not written down at the last stop, and it did not hold."""
        return not self.is_held and self.stands[-1][0].place < self.last_place

    @property
    def words(self) -> str:
        """'Opened in lesson 1, holding since lesson 3'."""
        opened = f"Opened in lesson {self.stands[0][0].lesson.number}"
        if self.is_held:
            held = Finding.Standing.HOLDING
            since = next(stop for stop, finding in self.stands if finding.standing == held)
            return f"{opened}, holding since lesson {since.lesson.number}"
        if self.is_dropped:
            return f"{opened}, last looked at in lesson {self.stands[-1][0].lesson.number}"
        if len(self.stands) == 1:
            return opened
        return f"{opened}, {self.stands[-1][1].standing} now"


@dataclass(frozen=True)
class Sight:
    """The same position seen from the same place, at the start and the end of each lesson."""

    title: str
    pictures: list[tuple[Stop, RecapStill]]


@dataclass(frozen=True)
class Road:
    """All that the page shows."""

    programme: Programme
    aims: list[Aim]
    stops: list[Stop]
    courses: list[Course]
    sights: list[Sight]
    trend: Trend | None

    @property
    def place_words(self) -> str:
        """'Lesson 3 of 6'; before the first 'No lesson yet of 6'."""
        planned = self.programme.lessons_planned
        if not self.stops:
            return f"No lesson posted yet, {count(planned, 'lesson')} planned"
        return f"Lesson {len(self.stops)} of {planned}"

    @property
    def open_courses(self) -> list[Course]:
        return [course for course in self.courses if course.is_open]

    @property
    def closed_courses(self) -> list[Course]:
        return [course for course in self.courses if not course.is_open]


def road_of(programme: Programme) -> Road:
    """The road so far; the number of queries does not grow with lessons or findings."""
    lessons = list(programme.lessons().select_related("recap").prefetch_related("assignments"))
    today = today_of(programme.student)
    percents = shares(programme, lessons, today)
    stops = [
        Stop(place, lesson, getattr(lesson, "recap", None), percents[lesson.pk])
        for place, lesson in enumerate(lessons, start=1)
    ]
    return Road(
        programme=programme,
        aims=list(programme.aims.all()),
        stops=stops,
        courses=courses_of(programme, stops),
        sights=sights_of(stops),
        trend=trend([(f"Lesson {one.lesson.number}", one.percent) for one in stops]),
    )


def shares(
    programme: Programme, lessons: Sequence[Lesson], today: datetime.date
) -> dict[int, int | None]:
    """The share of each lesson's dose in percent, until the next visit or the next lesson."""
    student = programme.student
    zone, pauses = zone_of(student), pauses_of([student]).get(student.pk, [])
    logs: dict[int, list[Log]] = defaultdict(list)
    found = Log.objects.standing().filter(assignment__lesson__in=lessons)
    for log in found.select_related("assignment"):
        logs[log.assignment.lesson_id].append(log)
    percents = {}
    for lesson, following in zip_longest(lessons, lessons[1:]):
        ends = following.date if following else None
        given = [given_of(one, lesson, zone) for one in lesson.assignments.all()]
        if ends is not None:
            given = [dataclasses.replace(one, until=min(ends, one.until or ends)) for one in given]
        share = dose_share(given, logs_done(logs[lesson.pk]), lesson.date, today, pauses)
        percents[lesson.pk] = share.percent
    return percents


def courses_of(programme: Programme, stops: Sequence[Stop]) -> list[Course]:
    """The findings of the programme's lessons, those still open first."""
    by_lesson = {stop.lesson.pk: stop for stop in stops}
    made = []
    for course in courses(programme.student):
        stands = [
            (by_lesson[finding.recap.lesson_id], finding)
            for finding in course.findings
            if finding.recap.lesson_id in by_lesson
        ]
        if stands:
            made.append(Course(stands[-1][1].what, stands, stops[-1].place))
    return sorted(made, key=lambda one: not one.is_open)


def sights_of(stops: Sequence[Stop]) -> list[Sight]:
    """Positions that were pictured twice or more from the same view, as the swing goes.

    Of each lesson the first still of its start and of its end; one of the middle only if the
    lesson has neither. So the end of one lesson stands beside the start of the next.
    """
    by_lesson = {stop.lesson.pk: stop for stop in stops}
    shown = RecapStill.objects.current().filter(
        recap__lesson__in=by_lesson, still__state=Still.State.READY
    )
    seen: dict[tuple[str, str], dict[tuple[int, Part], RecapStill]] = defaultdict(dict)
    for one in shown.exclude(still__position="").select_related(
        "recap", "still__clip__lesson__student", "still__mark_set"
    ):
        clip = one.still.clip
        moment = by_lesson[one.recap.lesson_id].place, Part(clip.part)
        seen[one.still.position, clip.view].setdefault(moment, one)
    order = [position.value for position in Position]
    sights = []
    for position, view in sorted(seen, key=lambda place: (order.index(place[0]), place[1])):
        stills = seen[position, view]
        moments = sorted(
            (moment for moment in stills if is_told(moment, stills)),
            key=lambda moment: (moment[0], PART_ORDER.index(moment[1])),
        )
        if len(moments) > 1:
            pictures = [(stops[place - 1], stills[place, part]) for place, part in moments]
            sights.append(Sight(f"{Position(position).label}, {view}", pictures))
    return sights


def is_told(moment: tuple[int, Part], stills: Container[tuple[int, Part]]) -> bool:
    """A lesson's middle is shown only if it has neither a start nor an end."""
    place, part = moment
    ends = (place, Part.START), (place, Part.END)
    return part != Part.MIDDLE or not any(end in stills for end in ends)
