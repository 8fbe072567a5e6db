"""Following a patch, on the desk's stage; all of it is the coach's."""

from __future__ import annotations

import json

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from lessons.clips.models import Clip, Still
from lessons.clips.service import NotPossible
from lessons.paths import service
from lessons.paths.forms import CorrectionForm, NewPathForm, VersionForm
from lessons.paths.models import Path
from lessons.paths.showing import ShownPath, whole
from lessons.visits.desk import desk_page


@require_http_methods(["GET", "HEAD", "POST"])
def begin(request: HttpRequest, pk: int) -> HttpResponse:
    """Box a patch on a frame of a clip, and have it followed."""
    clips = Clip.objects.led_by(request.user).current().ready()
    clip = get_object_or_404(clips.select_related("lesson__student"), pk=pk)
    still = _still(clip, request.GET.get("still", ""))
    form = NewPathForm(request.POST or None, clip=clip)
    refusal = ""
    if request.method == "POST":
        refusal = form.first_error
        if form.is_valid():
            data = form.cleaned_data
            try:
                made = service.begin_path(clip, form.box, data["what"], data["name"], still)
            except NotPossible as error:
                refusal = str(error)
            else:
                return redirect("paths:path", made.pk)
    return _box_page(request, clip, still, form, refusal)


def _still(clip: Clip, key: str) -> Still | None:
    stills = clip.stills.current().ready()
    return stills.filter(pk=key).first() if key.isdecimal() and len(key) < 19 else None


def _box_page(
    request: HttpRequest, clip: Clip, still: Still | None, form: NewPathForm, refusal: str
) -> HttpResponse:
    asked = request.POST.get("time_us") or request.GET.get("time_us", "")
    time_us = still.time_us if still else 0
    if asked.isdecimal() and len(asked) < 19:
        time_us = min(int(asked), clip.duration_us)
    cut = service.cut_at(clip, time_us)
    context = {
        "clip": clip,
        "still": still,
        "form": form,
        "whats": Path.What.choices,
        "cut": cut,
        "cut_in_flight": clip.cuts.in_flight().exists(),
        "time_us": time_us,
        "origin_us": 0,
        "begin_us": cut.begin_us if cut else 0,
        "end_us": cut.end_us if cut else 0,
        "refusal": refusal,
    }
    return _on_stage(request, clip, "paths/_begin.html", context, 422 if refusal else 200)


@require_safe
def path(request: HttpRequest, pk: int) -> HttpResponse:
    """How far a patch is followed; then where it went."""
    return _page(request, _own(request, pk))


@require_POST
def correct(request: HttpRequest, pk: int) -> HttpResponse:
    """Set a path right at one or more frames and follow it anew from there."""
    found = _own(request, pk)
    form, shown = CorrectionForm(request.POST, clip=found.clip), VersionForm(request.POST)
    if not form.is_valid() or not shown.is_valid():
        return _page(request, found, form.first_error or shown.first_error, form)
    try:
        service.correct_path(found, form.boxes, shown.cleaned_data["version"])
    except NotPossible as error:
        return _page(request, _own(request, pk), str(error), form)
    return redirect("paths:path", pk)


@require_POST
def undo(request: HttpRequest, pk: int) -> HttpResponse:
    """Take the last correction back."""
    found, shown = _own(request, pk), VersionForm(request.POST)
    if not shown.is_valid():
        return _page(request, found, shown.first_error)
    try:
        service.undo_correction(found, shown.cleaned_data["version"])
    except NotPossible as error:
        return _page(request, _own(request, pk), str(error))
    return redirect("paths:path", pk)


@require_POST
def again(request: HttpRequest, pk: int) -> HttpResponse:
    """Follow a failed path anew."""
    service.follow_again(_own(request, pk))
    return redirect("paths:path", pk)


@require_POST
def recap(request: HttpRequest, pk: int) -> HttpResponse:
    """Put a path into the recap, or take it out."""
    found = _own(request, pk)
    service.put_in_recap(found, request.POST.get("in_recap") == "on")
    if not request.htmx:  # type: ignore[attr-defined]
        return redirect("paths:path", pk)
    context = {"path": found, "shown": ShownPath(found), "saved": True}
    return render(request, "paths/_recap.html", context)


@require_POST
def scale(request: HttpRequest, pk: int) -> HttpResponse:
    """Let the recap be counted by the length that is marked now."""
    service.count_by_ruler(_own(request, pk))
    return redirect("paths:path", pk)


@require_POST
def remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a path off; its page offers to bring it back."""
    found = _own(request, pk)
    found.remove()
    return redirect("paths:path", pk)


@require_POST
def restore(request: HttpRequest, pk: int) -> HttpResponse:
    """Bring a removed path back."""
    _own(request, pk).bring_back()
    return redirect("paths:path", pk)


def _own(request: HttpRequest, pk: int) -> Path:
    return get_object_or_404(whole(Path.objects.led_by(request.user)), pk=pk)


def _page(
    request: HttpRequest, found: Path, refusal: str = "", form: CorrectionForm | None = None
) -> HttpResponse:
    """The path; after a refusal with the boxes that were sent, so that none is drawn twice."""
    shown = ShownPath(found)
    boxed_us: int = found.boxes[-1]["time_us"]
    cut = service.cut_of(found)
    if not (found.is_ready and cut):
        form = None  # there is nothing to draw on
    context = {
        "path": found,
        "clip": found.clip,
        "cut": cut,
        "shown": shown,
        "origin_us": shown.origin_us,
        "places_json": json.dumps(found.places if found.is_ready else []),
        "time_us": form.cleaned_data.get("time_us", boxed_us) if form else boxed_us,
        "form": form,
        "begin_us": found.begin_us,
        "end_us": found.end_us,
        "box": found.boxes[0],
        "refusal": refusal,
    }
    return _on_stage(request, found.clip, "paths/_path.html", context, 422 if refusal else 200)


def _on_stage(
    request: HttpRequest, clip: Clip, template: str, context: dict[str, object], status: int
) -> HttpResponse:
    """On the desk of the clip's lesson; on a page of its own for the library's."""
    if clip.lesson is not None:
        response = desk_page(request, clip.lesson, template, context)
    else:
        response = render(request, "paths/page.html", {"stage": template, **context})
    response.status_code = status
    return response
