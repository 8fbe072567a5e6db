"""Where two texts of one recap differ, in words to choose by."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from lessons.clips.models import Still
from lessons.drills.models import Assignment, Drill
from lessons.recaps.content import Content
from lessons.recaps.models import Recap


@dataclass(frozen=True)
class Difference:
    """One section that differs, as lines of text; a line is marked if the other side lacks it."""

    title: str
    mine: list[tuple[str, bool]]
    theirs: list[tuple[str, bool]]


def differences(recap: Recap, mine: Content, theirs: Content) -> list[Difference]:
    """The sections that differ between the text on the page and the one stored meanwhile."""
    names = drill_names(recap)
    titles = {still.pk: still.title for still in Still.objects.filter(clip__lesson=recap.lesson)}
    sections: list[tuple[str, Callable[[Content], list[str]]]] = [
        ("Main point", lambda c: lines_of(c.main_point)),
        ("Findings", lambda c: [finding_line(row) for row in c.findings]),
        ("Stills", lambda c: [still_line(row, titles) for row in c.stills]),
        ("Drills", lambda c: [drill_line(row, names) for row in c.drills]),
        ("Text", lambda c: lines_of(c.body)),
    ]
    found = []
    for title, lines in sections:
        here, there = lines(mine), lines(theirs)
        if here != there:
            found.append(Difference(title, marked(here, there), marked(there, here)))
    return found


def marked(lines: list[str], others: list[str]) -> list[tuple[str, bool]]:
    return [(line, line not in others) for line in lines]


def lines_of(text: str) -> list[str]:
    return [line for line in text.splitlines() if line.strip()]


def finding_line(row: dict[str, Any]) -> str:
    parts = [row["what"] or "No words yet", row["why"], row["ball"]]
    return f"{'. '.join(part for part in parts if part)} ({row['standing']})"


def still_line(row: dict[str, Any], titles: dict[int, str]) -> str:
    return row["caption"] or titles.get(row["still"], "A still")


def drill_line(row: dict[str, Any], names: dict[str, str]) -> str:
    dose = Assignment(**{name: row[name] for name in Assignment.DOSE_FIELDS}).dose
    name = names.get(row["key"]) or names.get(str(row["drill"]), "A drill")
    return f"{name}: {dose}" + (f". {row['note']}" if row["note"] else "")


def drill_names(recap: Recap) -> dict[str, str]:
    """Names by the assignment's key, and by the library's number for those not given yet."""
    library = Drill.objects.filter(coach=recap.lesson.student.coach)
    names = {str(drill.pk): drill.name for drill in library}
    return names | {str(a.key): a.name for a in recap.lesson.assignments.all()}
