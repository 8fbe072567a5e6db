"""The player's page, the shelf beside it, and what a coach changes about a clip."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.cache import patch_vary_headers
from django.views.decorators.http import require_POST, require_safe

from lessons.clips import service, swings
from lessons.clips.forms import ClipForm, RateForm
from lessons.clips.models import Clip
from lessons.clips.shelf import shelf_context
from lessons.clips.stage import stage_context
from lessons.clips.uses import uses_of
from lessons.visits.desk import desk_page
from lessons.visits.models import Lesson

STAGE = "clips/_stage.html"


@require_safe
def clip(request: HttpRequest, pk: int) -> HttpResponse:
    """One clip: on the desk for its coach, on a plain page for everybody else.

    Its coach is told of a removed one, and can bring it back; to others it is not there.
    """
    removed = Clip.objects.led_by(request.user).filter(pk=pk, removed_at__isnull=False).first()
    if removed is not None:
        return render(request, "clips/removed.html", {"clip": removed}, status=410)
    found = get_object_or_404(
        Clip.objects.visible_to(request.user).select_related("lesson__student"), pk=pk
    )
    return _page(request, found, stage_context(request, found))


def _page(
    request: HttpRequest, clip: Clip, context: dict[str, object], status: int = 200
) -> HttpResponse:
    if clip.lesson and clip.coach == request.user:
        response = desk_page(request, clip.lesson, STAGE, context)
    else:
        on_stage = request.htmx and request.htmx.target == "stage"  # type: ignore[attr-defined]
        response = render(request, STAGE if on_stage else "clips/clip.html", context)
        patch_vary_headers(response, ["HX-Request", "HX-Target"])
    response.status_code = status
    return response


@require_POST
def edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Part, view and club of a clip."""
    found = get_object_or_404(
        Clip.objects.led_by(request.user).current().select_related("lesson__student"), pk=pk
    )
    form = ClipForm(request.POST, instance=found)
    if not form.is_valid():
        found.refresh_from_db(fields=form.Meta.fields)
        return _page(request, found, stage_context(request, found, form), status=422)
    form.instance.save(update_fields=form.Meta.fields)
    if not request.htmx:  # type: ignore[attr-defined]
        return redirect("clips:clip", found.pk)
    response = _page(request, found, {**stage_context(request, found), "saved": True})
    response["HX-Trigger"] = "shelf-changed"
    return response


@require_POST
def rate(request: HttpRequest, pk: int) -> HttpResponse:
    """The rate at which a slow-motion clip was filmed."""
    found = get_object_or_404(
        Clip.objects.led_by(request.user).current().select_related("lesson__student"), pk=pk
    )
    form = RateForm(request.POST, instance=found)
    if not form.is_valid():
        found.refresh_from_db(fields=form.Meta.fields)
        context = {**stage_context(request, found), "rate_form": form}
        return _page(request, found, context, status=422)
    swings.state_rate(form.instance)
    if not request.htmx:  # type: ignore[attr-defined]
        return redirect("clips:clip", found.pk)
    return _page(request, found, {**stage_context(request, found), "saved": True})


@require_POST
def cancel(request: HttpRequest, pk: int) -> HttpResponse:
    """Stop the preparation of a clip; the original stays."""
    found = get_object_or_404(Clip.objects.led_by(request.user).current(), pk=pk)
    if not found.cancel():
        messages.info(request, "There was nothing left to stop.")
    return redirect("clips:clip", found.pk)


@require_POST
def remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a clip off the lesson; the shelf offers to bring it back.

    Where something would go with it, its page asks first.
    """
    found = get_object_or_404(Clip.objects.led_by(request.user).current(), pk=pk)
    if "sure" not in request.POST and uses_of(found):
        return redirect(f"{reverse('clips:clip', args=[found.pk])}?removing")
    service.remove_clip(found)
    if found.lesson_id:
        return redirect("visits:desk", found.lesson_id)
    messages.success(request, "The clip is removed.")
    return redirect("home")


@require_POST
def restore(request: HttpRequest, pk: int) -> HttpResponse:
    """Bring a removed clip back."""
    found = get_object_or_404(Clip.objects.led_by(request.user), pk=pk)
    service.bring_back_clip(found)
    return _after(request, found)


@require_POST
def again(request: HttpRequest, pk: int) -> HttpResponse:
    """Prepare a rejected or cancelled clip anew."""
    found = get_object_or_404(Clip.objects.led_by(request.user).current(), pk=pk)
    if not service.prepare_again(found):
        messages.info(request, "This clip needs no second try.")
    return redirect("clips:clip", found.pk)


def _after(request: HttpRequest, clip: Clip) -> HttpResponse:
    if request.htmx and clip.lesson:  # type: ignore[attr-defined]
        return _shelf(request, clip.lesson)
    return redirect("clips:clip", clip.pk)


@require_safe
def shelf(request: HttpRequest, pk: int) -> HttpResponse:
    """The lesson's clips with their progress, asked for by the desk while a worker is at it."""
    lesson = get_object_or_404(Lesson.objects.led_by(request.user).select_related("student"), pk=pk)
    return _shelf(request, lesson)


def _shelf(request: HttpRequest, lesson: Lesson) -> HttpResponse:
    context = shelf_context(request, lesson)
    response = render(request, "clips/_clips.html", {"lesson": lesson, **context})
    if not context["in_flight"]:
        response["HX-Trigger"] = "clips-settled"  # an empty stage may open with the first one
    return response
