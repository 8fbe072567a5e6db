"""What the recap's editor shows, on the lesson desk and on a page of its own."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest

from lessons.clips.models import Still
from lessons.drills.models import Drill
from lessons.recaps.carrying import recap_of
from lessons.recaps.models import Finding, Recap
from lessons.recaps.posting import check_recap, readers
from lessons.visits.models import Lesson


def editor_context(request: HttpRequest, lesson: Lesson) -> dict[str, object]:
    """The whole editor of a lesson's recap; the recap is made when it is first asked for."""
    recap = recap_of(lesson)
    findings = recap.findings.select_related("came_from__recap__lesson")
    return {
        "lesson": lesson,
        "recap": recap,
        "findings": findings,
        "standings": Finding.Standing.choices,
        "stills": recap.stills.current().select_related("still__clip"),
        "given": lesson.assignments.holding(),
        "library": Drill.objects.visible_to(request.user).current(),
        **stills_context(lesson),
        **posting_context(recap),
    }


def stills_context(lesson: Lesson) -> dict[str, Any]:
    """The lesson's stills that can be put in the recap, and how many are on their way."""
    stills = Still.objects.current().filter(clip__in=lesson.clips.current())
    return {
        "lesson": lesson,
        "ready_stills": stills.ready().select_related("clip"),
        "pulling": stills.filter(state__in=[Still.State.WANTED, Still.State.PULLING]).count(),
    }


def posting_context(recap: Recap) -> dict[str, Any]:
    """What stands before posting; after it, who has seen the page."""
    seen = {entry.user_id: entry for entry in recap.seen.all()}
    people = [(user, seen.get(user.pk)) for user in readers(recap.lesson)]
    return {
        "lesson": recap.lesson,
        "recap": recap,
        "check": check_recap(recap),
        "people": people,
    }


def still_context(request: HttpRequest, still: Still) -> dict[str, object]:
    """The button on a still that stands on the stage."""
    return {"lesson": still.clip.lesson}
