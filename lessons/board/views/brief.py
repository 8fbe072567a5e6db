"""The brief for the next visit, and what the coach prepares there."""

from __future__ import annotations

import json

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_http_methods, require_safe

from lessons.board.brief import PRINTED_NOTES, PRINTED_THREADS, brief_of
from lessons.board.models import Preparation
from lessons.students.views.loading import coach_only, student_of_coach
from lessons.visits.models import Lesson

MOST_LETTERS = 20_000


@require_safe
def brief(request: HttpRequest, pk: int) -> HttpResponse:
    """What was set and done since the last lesson, and what to check first; fits one sheet."""
    found = brief_of(student_of_coach(request, pk))
    context = {
        "brief": found,
        "student": found.student,
        "printed_notes": PRINTED_NOTES,
        "printed_threads": PRINTED_THREADS,
    }
    return render(request, "board/brief.html", context)


@require_http_methods(["GET", "HEAD", "PUT"])
def prepare(request: HttpRequest, pk: int) -> JsonResponse:
    """What the coach keeps for the visit after a lesson: {"text": str, "version": int}.

    PUT keeps the text: 200 with the new version; 409 with the kept text if it was changed
    elsewhere since; 422 with what can't be kept and why.
    """
    coach_only(request)
    lesson = get_object_or_404(Lesson.objects.led_by(request.user), pk=pk)
    kept, _ = Preparation.objects.get_or_create(lesson=lesson)
    if request.method != "PUT":
        return JsonResponse({"text": kept.text, "version": kept.version})
    try:
        data = json.loads(request.body)
        text, version = str(data["text"]), int(data["version"])
    except (ValueError, KeyError, TypeError):
        return refused("The page could not be read. Reload it.")
    if len(text) > MOST_LETTERS:
        return refused(f"Shorten this to {MOST_LETTERS:,} letters; it has {len(text):,}.")
    # The same text again is a saving whose answer got lost on the way
    if text == kept.text or kept.replace(version, text):
        return JsonResponse({"version": kept.version})
    return JsonResponse({"version": kept.version, "theirs": kept.text}, status=409)


def refused(message: str) -> JsonResponse:
    return JsonResponse({"errors": [{"row": "", "message": message}]}, status=422)
