"""The frame of the coach's lesson desk: clips | the stage | the page being written.

Rooms above put a page of theirs on the stage with `desk_page`. What they need in the page's head
they name once, in their AppConfig.ready, with `needs`; what the stage shows when a lesson is
opened, they say with `opens_with`.
"""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.cache import patch_vary_headers

from lessons.visits.models import Lesson

Opening = Callable[[HttpRequest, Lesson], tuple[str, dict[str, object]] | None]

_styles: list[str] = []
_scripts: list[str] = []
_openings: list[Opening] = []
STEPS = ("clips", "look", "write")


def needs(*, styles: tuple[str, ...] = (), scripts: tuple[str, ...] = ()) -> None:
    """Name static files (style sheets, ES modules) that a filling of the desk needs."""
    _styles.extend(style for style in styles if style not in _styles)
    _scripts.extend(script for script in scripts if script not in _scripts)


def opens_with(opening: Opening) -> Opening:
    """Register what may stand on the stage at first; the first that answers is taken."""
    _openings.append(opening)
    return opening


def desk_page(
    request: HttpRequest,
    lesson: Lesson,
    template: str,
    context: dict[str, object],
    *,
    step: str = "look",
) -> HttpResponse:
    """The desk with `template` on its stage; only the stage if htmx asks for that.

    `step` is the one that a phone shows first: 'clips', 'look' or 'write'.
    """
    stage = {"lesson": lesson, "on_desk": True, **context}
    if request.htmx and request.htmx.target == "stage":  # type: ignore[attr-defined]
        response = render(request, template, stage)
    else:
        frame = {"stage": template, "styles": _styles, "scripts": _scripts, "step": step}
        response = render(request, "visits/desk.html", {**stage, **frame})
    # A browser's back button must not show a part as the page
    patch_vary_headers(response, ["HX-Request", "HX-Target"])
    return response


def opening_page(request: HttpRequest, lesson: Lesson) -> HttpResponse:
    """The desk as it is when the lesson is opened: what a room offers, or how to begin."""
    for opening in _openings:
        offered = opening(request, lesson)
        if offered is not None:
            return desk_page(request, lesson, *offered, step="clips")
    return desk_page(request, lesson, "visits/_begin.html", {}, step="clips")
