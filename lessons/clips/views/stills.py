"""Taking stills, and the list of a clip's stills."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from lessons.clips import service
from lessons.clips.forms import StillForm
from lessons.clips.models import Clip, Still
from lessons.clips.stage import stills_context


@require_POST
def take(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask for the shown frame as a still."""
    clip = get_object_or_404(Clip.objects.led_by(request.user).current(), pk=pk)
    form = StillForm(request.POST)
    if not form.is_valid():
        return _stills(request, clip, refusal=form.first_error)
    try:
        service.take_still(clip, **form.cleaned_data)
    except service.NotPossible as error:
        return _stills(request, clip, refusal=str(error))
    if not request.htmx:  # type: ignore[attr-defined]
        return redirect("clips:clip", clip.pk)
    return _stills(request, clip)


@require_safe
def stills(request: HttpRequest, pk: int) -> HttpResponse:
    """The clip's stills, asked for by the player while a worker is at one."""
    clip = get_object_or_404(Clip.objects.led_by(request.user).current(), pk=pk)
    return _stills(request, clip)


@require_POST
def remove_still(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a still off; the list offers to bring it back."""
    still = get_object_or_404(Still.objects.led_by(request.user).current(), pk=pk)
    still.remove()
    return _after(request, still)


@require_POST
def restore_still(request: HttpRequest, pk: int) -> HttpResponse:
    """Bring a removed still back."""
    still = get_object_or_404(Still.objects.led_by(request.user), pk=pk)
    still.bring_back()
    return _after(request, still)


@require_POST
def pull_again(request: HttpRequest, pk: int) -> HttpResponse:
    """Pull a failed still anew."""
    still = get_object_or_404(Still.objects.led_by(request.user).current(), pk=pk)
    service.pull_again(still)
    return _after(request, still)


def _after(request: HttpRequest, still: Still) -> HttpResponse:
    if not request.htmx:  # type: ignore[attr-defined]
        return redirect("clips:clip", still.clip_id)
    return _stills(request, still.clip)


def _stills(request: HttpRequest, clip: Clip, refusal: str = "") -> HttpResponse:
    context = {"clip": clip, "refusal": refusal, **stills_context(request, clip)}
    response = render(request, "clips/_stills.html", context, status=422 if refusal else 200)
    # What else on the desk shows stills may look again
    response["HX-Trigger"] = "still-taken"
    return response
