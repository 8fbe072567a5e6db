"""The pictures and films that are saved of pairings."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from lessons.pairings import service
from lessons.pairings.forms import FilmForm, PictureForm, SavedForm
from lessons.pairings.models import Pairing, SavedPairing
from lessons.pairings.pages import saved_context
from lessons.pairings.service import NotPossible
from portal.files.serving import send_file

CONTENT_TYPES = {"picture": "image/jpeg", "film": "video/mp4"}


def _pairing(request: HttpRequest, pk: int) -> Pairing:
    mine = Pairing.objects.led_by(request.user).current()
    return get_object_or_404(mine.select_related("lesson__student__coach"), pk=pk)


def _led(request: HttpRequest, pk: int) -> SavedPairing:
    mine = SavedPairing.objects.led_by(request.user).filter(pairing__removed_at__isnull=True)
    return get_object_or_404(mine.select_related("pairing__lesson__student__coach"), pk=pk)


def _list(
    request: HttpRequest, pairing: Pairing, *, refusal: str = "", status: int = 200
) -> HttpResponse:
    """The pairing's pictures and films; without htmx the whole page."""
    if not request.htmx and not refusal:  # type: ignore[attr-defined]
        return redirect("pairings:pairing", pairing.pk)
    context = saved_context(pairing)
    response = render(request, "pairings/_saved.html", {**context, "refusal": refusal})
    response.status_code = status
    return response


@require_safe
def saved(request: HttpRequest, pk: int) -> HttpResponse:
    """What is saved of a pairing, asked for while a worker is at one."""
    return render(request, "pairings/_saved.html", saved_context(_pairing(request, pk)))


@require_POST
def save_still(request: HttpRequest, pk: int) -> HttpResponse:
    """Save the shown moment as one picture."""
    pairing = _pairing(request, pk)
    form = PictureForm(request.POST, pairing=pairing)
    if not form.is_valid():
        return _refused(request, pairing, form)
    try:
        service.save_picture(pairing, form.cleaned_data["clock_us"])
    except NotPossible as error:
        return _list(request, pairing, refusal=str(error), status=422)
    return _list(request, pairing)


@require_POST
def save_film(request: HttpRequest, pk: int) -> HttpResponse:
    """Save the swings as a film, with pauses."""
    pairing = _pairing(request, pk)
    form = FilmForm(request.POST, pairing=pairing)
    if not form.is_valid():
        return _refused(request, pairing, form)
    values = form.cleaned_data
    try:
        service.save_film(
            pairing, float(values["speed"]), values["pauses"], float(values["hold_s"])
        )
    except NotPossible as error:
        return _list(request, pairing, refusal=str(error), status=422)
    return _list(request, pairing)


def _refused(request: HttpRequest, pairing: Pairing, form: PictureForm | FilmForm) -> HttpResponse:
    words = " ".join(error for errors in form.errors.values() for error in errors)
    return _list(request, pairing, refusal=words, status=422)


@require_POST
def cancel(request: HttpRequest, pk: int) -> HttpResponse:
    """Stop making it."""
    found = _led(request, pk)
    found.cancel()
    return _list(request, found.pairing)


@require_POST
def again(request: HttpRequest, pk: int) -> HttpResponse:
    """Make a failed or cancelled one anew."""
    found = _led(request, pk)
    service.make_again(found)
    return _list(request, found.pairing)


@require_POST
def edit(request: HttpRequest, pk: int) -> HttpResponse:
    """The words below it, and whether the student sees it in the recap."""
    found = _led(request, pk)
    form = SavedForm(request.POST, instance=found)
    if not form.is_valid():
        words = " ".join(error for errors in form.errors.values() for error in errors)
        return _list(request, found.pairing, refusal=words, status=422)
    form.instance.save(update_fields=SavedForm.Meta.fields)
    return _list(request, found.pairing)


@require_POST
def remove_saved(request: HttpRequest, pk: int) -> HttpResponse:
    """Take it off the recap; the list offers to bring it back."""
    found = _led(request, pk)
    found.remove()
    return _list(request, found.pairing)


@require_POST
def restore_saved(request: HttpRequest, pk: int) -> HttpResponse:
    """Bring a removed one back."""
    found = _led(request, pk)
    found.bring_back()
    return _list(request, found.pairing)


@require_safe
def file(request: HttpRequest, pk: int) -> HttpResponse:
    """The picture or film itself."""
    found = get_object_or_404(SavedPairing.objects.visible_to(request.user).ready(), pk=pk)
    return send_file(request, found.file, content_type=CONTENT_TYPES[found.kind])


@require_safe
def poster(request: HttpRequest, pk: int) -> HttpResponse:
    """What stands for a film before it plays."""
    found = get_object_or_404(SavedPairing.objects.visible_to(request.user).ready(), pk=pk)
    if not found.poster:
        raise Http404
    return send_file(request, found.poster, content_type="image/jpeg")
