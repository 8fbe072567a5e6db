"""A month of ten students, played through the site's addresses and counted again by hand.

The board, the briefs, the shares and today's plan are compared with tests/month/recount.py, which
reads the script in plain Python and imports nothing of the site.
"""

from __future__ import annotations

import re
from html import unescape

from django.urls import reverse

from portal.accounts.models import User
from tests.month.playing import Coach, Player, people_of, play
from tests.month.recount import Counted, recount
from tests.month.script import CHECKS, LESSON_DAY, Check

ALL_REASONS = {"", "Hurt,", "Logged", "1", "Recap", "Nothing", "Next", "Practised", "Left"}


def text_of(html: str) -> str:
    return " ".join(unescape(re.sub(r"<[^>]*>", " ", html)).split())


def rows_of(page: str) -> dict[str, str]:
    """The text of each row of the board, by the student's name."""
    rows = re.findall(r'<li class="row">(.*?)</li>\s*(?=<li class="row">|</ul>)', page, re.DOTALL)
    return {text_of(re.search(r"<h3>(.*?)</h3>", row, re.DOTALL)[1]): text_of(row) for row in rows}


def last_words(days: int | None) -> str:
    if days is None:
        return "not yet"
    if days > 6:
        return f"{days} days ago"
    return {0: "today", 1: "yesterday"}.get(days, "on ")


def row_differs(row: str, told: Counted | None) -> list[str]:
    """What a row of the board should say and does not."""
    if told is None:
        return [] if "No lesson is posted yet." in row else ["not posted"]
    minutes = f"about {told.minutes}" if told.minutes else "none yet"
    wanted = [
        f"Days practised {told.days} ",
        f"Dose done {told.share} ",
        f"Minutes {minutes} ",
        f"Last practised {last_words(told.last)}",
    ]
    if told.aside:
        wanted.append(f"left {' and '.join(told.aside)} aside")
    if told.why:
        wanted.append(told.why)
    return [words for words in wanted if words not in row]


def brief_differs(page: str, told: Counted | None) -> list[str]:
    """What a brief should say of each drill and does not."""
    if told is None:
        return [] if "No lesson is posted yet" in page else ["not posted"]
    wanted = [
        rf"{drill} (taken off the list )?[^;]*? {practised} of {counted} days?\b"
        for drill, (practised, counted) in told.by_drill.items()
    ]
    wanted.append(rf"dose done: {re.escape(told.share)}")
    return [words for words in wanted if not re.search(words, page)]


def plan_of(player: Player) -> set[str]:
    """The drills that today's page asks for."""
    answer = player.browser.get(reverse("practice:today"))
    today = answer.context.get("today")
    return {one.drill.assignment.name for one in today.planned} if today else set()


def road_of(desk: Coach, player: Player) -> str:
    """The road of a programme that is begun now, from the lesson's day on."""
    sent = {"title": "Road", "lessons_planned": 1, "begins_on": LESSON_DAY, "aims": "Turn"}
    path = reverse("programmes:add", args=[player.student.pk])
    return desk.browser.post(path, sent, follow=True).content.decode()


def test_a_month_adds_up_to_the_same_as_counted_by_hand(coach: User):
    desk = Coach(coach)
    players = people_of(coach)
    differ: list[tuple[int, str, str, object]] = []
    seen = {"words": set(), "drifting": 0, "planned": 0}

    def compare(check: Check) -> None:
        page = desk.browser.get(reverse("board:board")).content.decode()
        drifting = rows_of(desk.browser.get("/board/?show=drifting").content.decode())
        first = page.partition('aria-label="Going along"')[0]
        rows, needing = rows_of(page), rows_of(first)
        assert len(rows) == len(players)
        for player in players:
            name = player.person.name
            told = recount(player.person, check)
            found = row_differs(rows[name], told)
            if found:
                differ.append((check.day, name, rows[name], found))
            brief = desk.browser.get(reverse("board:brief", args=[player.student.pk]))
            found = brief_differs(text_of(brief.content.decode()), told)
            if found:
                differ.append((check.day, name, "brief", found))
            if told is None:
                continue
            if bool(told.why) != (name in needing) or told.drifts != (name in drifting):
                differ.append((check.day, name, rows[name], (told.why, told.drifts)))
            seen["words"].add(told.why.split(" ")[0])
            seen["drifting"] += told.drifts
            if told.planned is not None:
                planned = plan_of(player)
                seen["planned"] += len(planned)
                if planned != told.planned:
                    differ.append((check.day, name, f"plan {planned}", told.planned))

            if check == CHECKS[-1] and f"Lesson 1: {told.share}." not in road_of(desk, player):
                differ.append((check.day, name, "road", told.share))

    play(desk, players, compare)
    assert not differ, "\n".join(str(one) for one in differ[:20])
    # The month has each kind of row in it, else it proves little
    assert {"", "Hurt,", "Logged", "1", "Recap", "Nothing", "Next", "Practised", "Left"} <= seen[
        "words"
    ]
    assert seen["drifting"] > 1
    assert seen["planned"] > 20
