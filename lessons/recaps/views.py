"""Writing, posting and reading a lesson's recap."""

from __future__ import annotations

import json
import uuid
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.template.loader import render_to_string
from django.utils.cache import patch_vary_headers
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from lessons.recaps.carrying import recap_of
from lessons.recaps.content import UNREADABLE, WrongContentError, content_of, read_content
from lessons.recaps.desk import editor_context, posting_context, stills_context
from lessons.recaps.differences import differences
from lessons.recaps.models import Recap
from lessons.recaps.posting import NotReadyError, post_recap, record_seen, tell_of_change
from lessons.recaps.reading import reading_context
from lessons.recaps.saving import ChangedElsewhereError, save_recap
from lessons.visits.models import Lesson


def led_lesson(request: HttpRequest, pk: int) -> Lesson:
    mine = Lesson.objects.led_by(request.user).select_related("student__coach")
    return get_object_or_404(mine, pk=pk)


@require_http_methods(["GET", "HEAD", "PUT"])
def recap(request: HttpRequest, pk: int) -> HttpResponse:
    """The editor by itself; PUT keeps the whole page as typed (see lessons.recaps.content)."""
    lesson = led_lesson(request, pk)
    if request.method == "PUT":
        return save(request, lesson)
    context = editor_context(request, lesson)
    template = "recaps/_editor.html" if request.htmx else "recaps/recap.html"  # type: ignore[attr-defined]
    response = render(request, template, context)
    patch_vary_headers(response, ["HX-Request"])
    return response


def save(request: HttpRequest, lesson: Lesson) -> JsonResponse:
    """200 with the new version; 409 with both texts; 422 with what can't be kept and why."""
    recap = recap_of(lesson)
    try:
        data, base, page = envelope(request)
        content = read_content(recap, data)
        recap = save_recap(recap, content, base=base, page=page)
    except WrongContentError as wrong:
        return JsonResponse({"errors": wrong.errors}, status=422)
    except ChangedElsewhereError:
        recap = Recap.objects.select_related("lesson").get(pk=recap.pk)
        theirs = content_of(recap)
        context = {"differences": differences(recap, content, theirs), "recap": recap}
        return JsonResponse(
            {
                "version": recap.version,
                "theirs": vars(theirs),
                "html": render_to_string("recaps/_choice.html", context, request),
            },
            status=409,
        )
    return JsonResponse({"version": recap.version})


def envelope(request: HttpRequest) -> tuple[dict[str, Any], int, uuid.UUID]:
    """The page's JSON, the version it was made from, and which open page it is."""
    try:
        data = json.loads(request.body)
        return data, int(data["version"]), uuid.UUID(data["page"])
    except (ValueError, KeyError, TypeError, AttributeError):
        raise WrongContentError([UNREADABLE]) from None


@require_safe
def stills(request: HttpRequest, pk: int) -> HttpResponse:
    """The stills to choose from, asked for again while some are being pulled."""
    return render(request, "recaps/_stills.html", stills_context(led_lesson(request, pk)))


@require_http_methods(["GET", "HEAD", "POST"])
def post(request: HttpRequest, pk: int) -> HttpResponse:
    """What is missing and who has seen it; POST posts it, once."""
    lesson = led_lesson(request, pk)
    recap = recap_of(lesson)
    if request.method != "POST":
        return render(request, "recaps/_post.html", posting_context(recap))
    try:
        is_first = post_recap(lesson, request.user)  # type: ignore[arg-type]
    except NotReadyError as not_ready:
        messages.error(request, f"Not posted. {not_ready}")
    else:
        said = f"Posted to {lesson.student}." if is_first else "This lesson was posted before."
        messages.success(request, said)
    return redirect("visits:desk", lesson.pk)


@require_POST
def tell(request: HttpRequest, pk: int) -> HttpResponse:
    """Write to the readers that the posted recap was changed."""
    lesson = led_lesson(request, pk)
    letters = tell_of_change(recap_of(lesson), request.user)  # type: ignore[arg-type]
    said = "They get a letter about the change." if letters else "There is no change to tell of."
    messages.success(request, said)
    return redirect("visits:desk", lesson.pk)


@require_safe
def read(request: HttpRequest, pk: int) -> HttpResponse:
    """The student's lesson page. `?preview=1` shows it to the coach before it is posted."""
    is_preview = "preview" in request.GET
    lessons = Lesson.objects.select_related("student__coach")
    if is_preview:
        lesson = get_object_or_404(lessons.led_by(request.user), pk=pk)
    else:
        lesson = get_object_or_404(lessons.visible_to(request.user).posted(), pk=pk)
    recap = Recap.objects.filter(lesson=lesson).first()
    # A phone that keeps the page for a place without a signal has not read it
    is_kept_ahead = request.headers.get("Purpose") == "prefetch"
    if recap is not None and not request.user.is_coach and not is_kept_ahead:  # type: ignore[union-attr]
        record_seen(recap, request.user)  # type: ignore[arg-type]
    context = reading_context(lesson, recap)
    return render(request, "recaps/read.html", {**context, "is_preview": is_preview})
