"""Choosing swings, the pairing on the stage, and how it is shown."""

from __future__ import annotations

import json

from django.contrib import messages
from django.core.exceptions import RequestDataTooBig
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from lessons.clips.service import NotPossible, take_still
from lessons.pairings.forms import UNREADABLE, ChoiceForm, DrawForm
from lessons.pairings.models import Pairing, PairingSide
from lessons.pairings.offering import offers
from lessons.pairings.pages import choice_context, cuts_context, pairing_context
from lessons.pairings.service import begin_pairing
from lessons.pairings.settings import NotKept, OtherVersion, keep_settings
from lessons.visits.desk import desk_page
from lessons.visits.models import Lesson


def _led(request: HttpRequest, pk: int) -> Pairing:
    mine = Pairing.objects.led_by(request.user).current()
    return get_object_or_404(mine.select_related("lesson__student__coach"), pk=pk)


@require_http_methods(["GET", "HEAD", "POST"])
def add(request: HttpRequest, pk: int) -> HttpResponse:
    """Choose two or three swings of the lesson's student."""
    mine = Lesson.objects.led_by(request.user).select_related("student__coach")
    lesson = get_object_or_404(mine, pk=pk)
    offered = offers(lesson)
    form = ChoiceForm(request.POST or None, offers=offered)
    if request.method == "POST":
        form = ChoiceForm(request.POST, offers=offered)
        if form.is_valid():
            pairing = begin_pairing(lesson, form.cleaned_data["swings"])
            return redirect("pairings:pairing", pairing.pk)
    context = choice_context(lesson, offered, form)
    response = desk_page(request, lesson, "pairings/_choose.html", context)
    if form.is_bound:
        response.status_code = 422
    return response


@require_safe
def pairing(request: HttpRequest, pk: int) -> HttpResponse:
    """The swings side by side."""
    found = _led(request, pk)
    context = pairing_context(request, found)
    return desk_page(request, found.lesson, "pairings/_pairing.html", context)


@require_POST
def keep(request: HttpRequest, pk: int) -> HttpResponse:
    """Keep how the pairing is shown, as its page sends it (see settings.keep_settings)."""
    found = _led(request, pk)
    try:
        version = keep_settings(found, json.loads(request.body))
    except (ValueError, RecursionError, RequestDataTooBig):
        return JsonResponse({"detail": UNREADABLE}, status=400)
    except NotKept as refused:
        return JsonResponse({"detail": str(refused)}, status=422)
    except OtherVersion as other:
        return JsonResponse(other.kept, status=409)
    return JsonResponse({"version": version})


@require_safe
def cuts(request: HttpRequest, pk: int) -> HttpResponse:
    """Which parts of the clips have every frame, asked for while a worker is at one."""
    return render(request, "pairings/_cuts.html", cuts_context(_led(request, pk)))


@require_POST
def draw(request: HttpRequest, pk: int) -> HttpResponse:
    """Pull the shown frame of one swing, to be drawn on; its marks then stand over it here."""
    side = get_object_or_404(PairingSide.objects.led_by(request.user).select_related("clip"), pk=pk)
    form = DrawForm(request.POST)
    if form.is_valid():
        try:
            still = take_still(side.clip, **form.cleaned_data)
        except NotPossible as error:
            messages.error(request, str(error))
        else:
            # The still may be another lesson's: it leads back here
            return redirect(f"{reverse('marks:still', args=[still.pk])}?from={side.pairing_id}")
    else:
        messages.error(request, form.first_error)
    return redirect("pairings:pairing", side.pairing_id)


@require_POST
def remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a pairing off; the next page offers to bring it back."""
    found = _led(request, pk)
    found.remove()
    return redirect("pairings:add", found.lesson_id)


@require_POST
def restore(request: HttpRequest, pk: int) -> HttpResponse:
    """Bring a removed pairing back."""
    found = get_object_or_404(Pairing.objects.led_by(request.user), pk=pk)
    found.bring_back()
    return redirect("pairings:pairing", found.pk)
