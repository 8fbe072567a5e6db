"""A still enlarged, the marks drawn on it, and both as one picture."""

from __future__ import annotations

import json
from typing import Any

from django.core.exceptions import RequestDataTooBig
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.cache import patch_cache_control
from django.views.decorators.http import condition, require_http_methods, require_POST, require_safe

from lessons.clips.models import Still, StillQuerySet
from lessons.marks.checking import MarksRefused
from lessons.marks.drawing import COLOURS, CONSTANTS
from lessons.marks.forms import MarkingErrorForm, StillForm
from lessons.marks.models import MarkingError, MarkSet
from lessons.marks.picture import marked_jpeg
from lessons.marks.service import (
    SIGHT,
    OtherVersion,
    mark_set_of,
    marked_etag,
    marks_of,
    save_marks,
    sight_of,
)
from lessons.marks.tools import TOOLS
from lessons.visits.desk import desk_page


def _looked_up(stills: StillQuerySet, pk: int) -> Still:
    return get_object_or_404(stills.select_related(*SIGHT), pk=pk)


def _visible(request: HttpRequest, pk: int) -> Still:
    return _looked_up(Still.objects.visible_to(request.user), pk)


def _drawable(request: HttpRequest, pk: int) -> Still:
    """A still that this person may draw on: one of their own clips, as a coach."""
    return _looked_up(Still.objects.led_by(request.user).current(), pk)


@require_safe
def still(request: HttpRequest, pk: int) -> HttpResponse:
    """The still: its coach draws on it at the lesson desk, others look at it enlarged."""
    shown = _visible(request, pk)
    if shown.clip.coach_id != request.user.pk:
        return render(request, "marks/still.html", {"still": shown})
    return _stage(request, shown, StillForm(instance=shown))


@require_POST
def caption(request: HttpRequest, pk: int) -> HttpResponse:
    """What the coach calls the still."""
    shown = _drawable(request, pk)
    form = StillForm(request.POST, instance=shown)
    if form.is_valid():
        form.instance.save(update_fields=StillForm.Meta.fields)
        if not request.htmx:  # type: ignore[attr-defined]
            return redirect("marks:still", pk=pk)
        return render(request, "marks/_caption.html", {"still": shown, "form": form, "saved": True})
    shown.refresh_from_db(fields=StillForm.Meta.fields)
    if request.htmx:  # type: ignore[attr-defined]
        response = render(request, "marks/_caption.html", {"still": shown, "form": form})
    else:
        response = _stage(request, shown, form)
    response.status_code = 422
    return response


@require_http_methods(["GET", "PUT"])
def marks(request: HttpRequest, pk: int) -> HttpResponse:
    """The marks as JSON; PUT keeps new ones if they were drawn on the version that is kept."""
    shown = _drawable(request, pk)
    if request.method == "GET":
        size = {"width": shown.width_px, "height": shown.height_px}
        return JsonResponse({**_as_json(mark_set_of(shown)), **size})
    try:
        sent = json.loads(request.body)
        version = sent["version"]
        if not isinstance(version, int) or isinstance(version, bool) or version < 0:
            raise MarksRefused("The marks did not say which version they were drawn on.")
        kept = save_marks(shown, version, sent.get("marks"))
    except RequestDataTooBig:
        return _refused("There is too much drawing on this still; delete some marks.", 413)
    except (ValueError, KeyError, TypeError, RecursionError):
        return _refused("The marks did not arrive whole. They are kept on this device.", 400)
    except MarksRefused as refused:
        return _refused(str(refused), 422)
    except OtherVersion as other:
        return JsonResponse(_as_json(other.kept), status=409)
    return JsonResponse({"version": kept.version})


@require_safe
def marked(request: HttpRequest, pk: int) -> HttpResponse:
    """The still with its marks drawn in, as one picture."""
    shown = _visible(request, pk)
    if shown.state != Still.State.READY or not shown.picture:
        raise Http404
    return _marked(request, shown)


@condition(etag_func=lambda request, shown: marked_etag(shown))
def _marked(request: HttpRequest, shown: Still) -> HttpResponse:
    with shown.picture.open("rb") as picture:
        drawn = marked_jpeg(picture, marks_of(shown), sight_of(shown))
    response = HttpResponse(drawn, content_type="image/jpeg")
    response["Content-Disposition"] = f'inline; filename="still-{shown.pk}.jpg"'
    patch_cache_control(response, private=True, no_cache=True)
    return response


@require_POST
def marking_error(request: HttpRequest) -> HttpResponse:
    """How exactly this coach marks: the plus-or-minus of one coordinate."""
    if not request.user.is_authenticated or not request.user.is_coach:
        raise Http404
    kept, _ = MarkingError.objects.get_or_create(coach=request.user)
    form = MarkingErrorForm(request.POST, instance=kept)
    if not form.is_valid():
        return HttpResponse(form.errors["error_px"][0], status=422, content_type="text/plain")
    form.save()
    return HttpResponse(status=204)


def _stage(request: HttpRequest, shown: Still, form: StillForm) -> HttpResponse:
    """The board, on the desk of the still's lesson; a page of its own for the library's."""
    context = _stage_context(shown, form)
    if shown.clip.lesson is None:
        return render(request, "marks/board.html", context)
    return desk_page(request, shown.clip.lesson, "marks/_stage.html", context)


def _stage_context(shown: Still, form: StillForm) -> dict[str, Any]:
    siblings = list(shown.clip.stills.current().values_list("pk", flat=True))
    place = siblings.index(shown.pk)
    sight = sight_of(shown)
    return {
        "still": shown,
        "form": form,
        "tools": TOOLS,
        "colours": COLOURS.values(),
        "drawing_json": json.dumps(CONSTANTS, ensure_ascii=False),
        "marks_json": json.dumps(_as_json(mark_set_of(shown))),
        "sight": sight,
        "sight_json": json.dumps(sight.as_json()),
        "earlier": siblings[place - 1] if place else None,
        "later": siblings[place + 1] if place + 1 < len(siblings) else None,
        "number": place + 1,
        "count": len(siblings),
    }


def _as_json(kept: MarkSet) -> dict[str, Any]:
    return {"version": kept.version, "marks": kept.marks}


def _refused(sentence: str, status: int) -> JsonResponse:
    return JsonResponse({"detail": sentence}, status=status)
