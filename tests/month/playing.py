"""Plays the script through the site's own addresses, as a browser would send it."""

from __future__ import annotations

import datetime
import re
import uuid
from dataclasses import dataclass, field

import time_machine
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse

from lessons.students.models import Student
from portal.accounts.models import User
from tests import factories
from tests.month.recount import coach_says
from tests.month.script import (
    CHECKS,
    COACH_READS,
    DOSES,
    LESSON_DAY,
    PEOPLE,
    POSTED_AT,
    USUAL_VISIT,
    Act,
    Check,
    Person,
)

TAKEN = {200, 302}


def day_of(number: int) -> datetime.date:
    return LESSON_DAY + datetime.timedelta(number)


def taken(answer: HttpResponse) -> HttpResponse:
    assert answer.status_code in TAKEN, (answer.status_code, answer.content.decode()[:2000])
    return answer


@dataclass
class Player:
    """One student in their browser, and what the coach has given them."""

    person: Person
    student: Student
    browser: Client
    lesson: int = 0
    given: dict[str, int] = field(default_factory=dict)  # drill: the key in its address
    rows: list[dict[str, object]] = field(default_factory=list)  # the recap page's drills

    def page(self) -> str:
        return taken(self.browser.get(reverse("recaps:read", args=[self.lesson]))).content.decode()

    def do(self, act: Act) -> None:
        if act.how == "read":
            self.read()
        elif act.how == "rest":
            sent = {"why": "hurt", "until": day_of(act.of).isoformat()}
            taken(self.browser.post(reverse("practice:rest", args=[self.student.pk]), sent))
        elif act.how == "ask":
            path = reverse("questions:ask", args=[self.lesson])
            taken(self.browser.post(path, {"text": act.note, "client_id": uuid.uuid4()}))
        elif act.how == "sent":
            self.send_late(act)
        else:
            self.log(act)

    def read(self) -> None:
        """Open the lesson; its page names each drill's own address."""
        keys = re.findall(r'action="/given/(\d+)/log/"', self.page())
        in_order = list(dict.fromkeys(int(key) for key in keys))
        self.given = dict(zip(self.person.drills, in_order, strict=True))
        path = reverse("practice:minutes", args=[self.student.pk])
        taken(self.browser.post(path, {"minutes": 240}))

    def log(self, act: Act) -> None:
        """Tap, and say more or take it back where the script says so."""
        path = reverse("practice:log", args=[self.given[act.drill]])
        when = "today" if act.done_on == act.day else "yesterday"
        sent = {"client_id": uuid.uuid4(), "when": when}
        for _ in range(2):  # a tap that is sent twice is one log
            taken(self.browser.post(path, sent))
        if act.how == "set" and act.felt is None:
            return
        newest = max(int(key) for key in re.findall(r"/logs/(\d+)/undo/", self.page()))
        if act.how == "undone":
            taken(self.browser.post(reverse("practice:undo", args=[newest])))
            return
        more = {"sets": act.sets, "reps": act.reps, "minutes": act.minutes, "felt": act.felt}
        said = {name: value for name, value in more.items() if value is not None}
        if act.how == "hurt":
            said["hurt"] = "on"
        taken(
            self.browser.post(reverse("practice:more", args=[newest]), {**said, "note": act.note})
        )

    def send_late(self, act: Act) -> None:
        """A log that waited on the phone; the phone sends it again for want of an answer."""
        sent = {
            "client_id": uuid.uuid4(),
            "day": day_of(act.done_on).isoformat(),
            "felt": act.felt,
            "note": act.note,
        }
        sent["who"] = taken(self.browser.get(reverse("practice:who"))).json()["who"]
        path = reverse("practice:keep", args=[self.given[act.drill]])
        for _ in range(2):
            taken(self.browser.post(path, sent))


class Coach:
    """The coach in their browser."""

    def __init__(self, user: User) -> None:
        self.user = user
        self.browser = Client()
        self.browser.force_login(user)
        self.drills: dict[str, int] = {}

    def write_library(self) -> None:
        for name, dose in DOSES.items():
            sent = {
                "name": name,
                "sets": dose.sets or "",
                "reps": dose.reps or "",
                "minutes": dose.minutes or "",
                "days_a_week": dose.days_a_week,
            }
            answer = taken(self.browser.post(reverse("drills:add"), sent))
            self.drills[name] = int(re.search(r"/drills/(\d+)/", answer["Location"])[1])

    def teach(self, player: Player) -> None:
        """Add the lesson and write its recap."""
        sent = {
            "date": LESSON_DAY.isoformat(),
            "theme": "Turn",
            "next_visit": day_of(USUAL_VISIT).isoformat(),
        }
        path = reverse("visits:add", args=[player.student.pk])
        answer = taken(self.browser.post(path, sent))
        player.lesson = int(re.search(r"/lessons/(\d+)/", answer["Location"])[1])
        player.rows = [
            {
                "key": str(uuid.uuid4()),
                "drill": self.drills[name],
                "sets": DOSES[name].sets,
                "reps": DOSES[name].reps,
                "minutes": DOSES[name].minutes,
                "days_a_week": DOSES[name].days_a_week,
                "note": "",
            }
            for name in player.person.drills
        ]
        self.save(player, version=0)

    def save(self, player: Player, version: int) -> None:
        body = {
            "main_point": "Turn around the trail hip.",
            "body": "",
            "findings": [],
            "stills": [],
            "drills": player.rows,
            "version": version,
            "page": str(uuid.uuid4()),
        }
        path = reverse("recaps:recap", args=[player.lesson])
        taken(self.browser.put(path, body, content_type="application/json"))

    def post(self, player: Player) -> None:
        taken(self.browser.post(reverse("recaps:post", args=[player.lesson])))

    def move_visit(self, player: Player, day: int) -> None:
        sent = {
            "date": LESSON_DAY.isoformat(),
            "theme": "Turn",
            "next_visit": day_of(day).isoformat(),
        }
        taken(self.browser.post(reverse("visits:edit", args=[player.lesson]), sent))

    def take_away(self, player: Player, drill: str) -> None:
        player.rows = [row for row in player.rows if row["drill"] != self.drills[drill]]
        self.save(player, version=1)

    def read_questions(self) -> None:
        page = taken(self.browser.get(reverse("questions:list"))).content.decode()
        for key in set(re.findall(r'href="/questions/(\d+)/"', page)):
            taken(self.browser.get(reverse("questions:thread", args=[key])))


def people_of(coach: User) -> list[Player]:
    """The ten students, who have signed in before."""
    players = []
    for person in PEOPLE:
        student = factories.StudentFactory(coach=coach, name=person.name)
        student.user.time_zone = person.zone
        student.user.save()
        browser = Client()
        browser.force_login(student.user)
        players.append(Player(person, student, browser))
    return players


def play(coach: Coach, players: list[Player], at_check) -> None:
    """All acts and checks in the order in which they happen, each at its own moment."""
    events: list[tuple[datetime.datetime, int, object]] = []

    def then(instant: datetime.datetime, rank: int, what) -> None:
        events.append((instant, rank, what))

    for player in players:
        person = player.person
        posted = POSTED_AT + datetime.timedelta(person.posted_after)
        then(posted, 0, lambda player=player: coach.post(player))
        for act in person.acts:
            then(person.instant(act), 1, lambda player=player, act=act: player.do(act))
        if person.visit_moved:
            on, to = person.visit_moved
            then(coach_says(on), 2, lambda player=player, to=to: coach.move_visit(player, to))
        if person.removed:
            on, drill = person.removed
            then(coach_says(on), 2, lambda player=player, d=drill: coach.take_away(player, d))
    then(COACH_READS.instant, 3, coach.read_questions)
    for check in CHECKS:
        then(check.instant, 4, lambda check=check: at_check(check))
    with time_machine.travel(POSTED_AT - datetime.timedelta(hours=1), tick=False) as clock:
        coach.write_library()
        for player in players:
            coach.teach(player)
        for instant, _, what in sorted(events, key=lambda event: event[:2]):
            clock.move_to(instant)
            what()


__all__ = ["Check", "Coach", "Player", "people_of", "play"]
