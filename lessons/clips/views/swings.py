"""The swings of a clip, and the parts of it that are stepped through."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from lessons.clips import history, placing
from lessons.clips import swings as service
from lessons.clips.cuts import cut_around
from lessons.clips.forms import MomentForm, PlaceForm
from lessons.clips.models import Clip, Cut, Swing, SwingSearch
from lessons.clips.stage import swings_context


@require_safe
def swings(request: HttpRequest, pk: int) -> HttpResponse:
    """The swings and cuts, asked for by the player while a worker is at them."""
    return _swings(request, get_object_or_404(Clip.objects.visible_to(request.user).ready(), pk=pk))


@require_POST
def add(request: HttpRequest, pk: int) -> HttpResponse:
    """A swing by hand, its strike at the shown frame."""
    clip = _own_clip(request, pk)
    form = MomentForm(request.POST)
    if not form.is_valid():
        return _swings(request, clip, refusal=form.first_error)
    try:
        added = service.add_swing(clip, form.cleaned_data["time_us"])
    except service.NotPossible as error:
        return _swings(request, clip, refusal=str(error))
    return _after(request, clip, chosen=added.pk)


@require_POST
def place(request: HttpRequest, pk: int) -> HttpResponse:
    """The shown frame is a position of the swing; its still is pulled."""
    swing = _own_swing(request, pk)
    form = PlaceForm(request.POST)
    if not form.is_valid():
        return _swings(request, swing.clip, refusal=form.first_error)
    try:
        placing.place(swing, form.cleaned_data["position"], form.cleaned_data["time_us"])
    except service.NotPossible as error:
        return _swings(request, swing.clip, refusal=str(error))
    return _after(request, swing.clip, stills=True)


@require_POST
def positions(request: HttpRequest, pk: int) -> HttpResponse:
    """Pull a still at every position of the swing."""
    swing = _own_swing(request, pk)
    try:
        placing.pull_all(swing)
    except service.NotPossible as error:
        return _swings(request, swing.clip, refusal=str(error))
    return _after(request, swing.clip, stills=True)


@require_POST
def undo(request: HttpRequest, pk: int) -> HttpResponse:
    """Take back what was last done to a swing's positions."""
    swing = _own_swing(request, pk)
    if not history.undo(swing):
        return _swings(request, swing.clip, refusal="There is nothing left to take back.")
    return _after(request, swing.clip, stills=True)


@require_POST
def keep(request: HttpRequest, pk: int) -> HttpResponse:
    """Mark a swing as the one to keep, or take the mark off."""
    swing = _own_swing(request, pk)
    service.keep_swing(swing, keep=not swing.is_kept)
    return _after(request, swing.clip)


@require_POST
def remove_swing(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a swing off; the list offers to bring it back."""
    swing = _own_swing(request, pk)
    swing.remove()
    return _after(request, swing.clip)


@require_POST
def restore_swing(request: HttpRequest, pk: int) -> HttpResponse:
    """Bring a removed swing back."""
    swing = get_object_or_404(Swing.objects.led_by(request.user).select_related("clip"), pk=pk)
    swing.bring_back()
    return _after(request, swing.clip, chosen=swing.pk)


@require_POST
def look(request: HttpRequest, pk: int) -> HttpResponse:
    """Look for the clip's swings once more."""
    clip = _own_clip(request, pk)
    service.look_again(clip)
    return _after(request, clip)


@require_POST
def cancel_look(request: HttpRequest, pk: int) -> HttpResponse:
    """Stop looking for the clip's swings."""
    clip = _own_clip(request, pk)
    for search in SwingSearch.objects.filter(clip=clip):
        search.cancel()
    return _after(request, clip)


@require_POST
def cancel_cut(request: HttpRequest, pk: int) -> HttpResponse:
    """Stop making a part ready to step through."""
    found = get_object_or_404(Cut.objects.led_by(request.user).select_related("clip"), pk=pk)
    found.cancel()
    return _after(request, found.clip)


@require_POST
def cut(request: HttpRequest, pk: int) -> HttpResponse:
    """Make the part around the shown moment ready to step through."""
    clip = _own_clip(request, pk)
    form = MomentForm(request.POST)
    if not form.is_valid():
        return _swings(request, clip, refusal=form.first_error)
    cut_around(clip, form.cleaned_data["time_us"])
    return _after(request, clip)


def _own_clip(request: HttpRequest, pk: int) -> Clip:
    return get_object_or_404(Clip.objects.led_by(request.user).current().ready(), pk=pk)


def _own_swing(request: HttpRequest, pk: int) -> Swing:
    led = Swing.objects.led_by(request.user).current().select_related("clip")
    return get_object_or_404(led, pk=pk)


def _after(
    request: HttpRequest, clip: Clip, chosen: int | None = None, *, stills: bool = False
) -> HttpResponse:
    if not request.htmx:  # type: ignore[attr-defined]
        return redirect("clips:clip", clip.pk)
    response = _swings(request, clip, chosen=chosen)
    if stills:
        response["HX-Trigger"] = "stills-changed"
    return response


def _swings(
    request: HttpRequest, clip: Clip, refusal: str = "", chosen: int | None = None
) -> HttpResponse:
    context = {
        "clip": clip,
        "leads": clip.coach == request.user,
        "refusal": refusal,
        "chosen": chosen,
        **swings_context(request, clip),
    }
    return render(request, "clips/_swings.html", context, status=422 if refusal else 200)
