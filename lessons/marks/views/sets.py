"""Marks laid over from elsewhere: another still's, or a set that the coach kept under a name."""

from __future__ import annotations

from django.core.signing import BadSignature
from django.http import HttpRequest, HttpResponse, HttpResponseBadRequest, JsonResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_POST, require_safe

from lessons.clips.models import Still
from lessons.marks.copying import Copied, copy_marks, same_size, take_back
from lessons.marks.forms import CopyForm, NamedSetForm
from lessons.marks.laying import marked_stills
from lessons.marks.models import NamedSet
from lessons.marks.service import keep_named_set, marks_of


def _drawable(request: HttpRequest, pk: int) -> Still:
    stills = Still.objects.led_by(request.user).current()
    return get_object_or_404(stills.select_related("mark_set", "clip__lesson__student"), pk=pk)


@require_safe
def sets(request: HttpRequest, pk: int) -> HttpResponse:
    """What can be laid over this still."""
    return _list(request, _drawable(request, pk))


@require_POST
def keep_set(request: HttpRequest, pk: int) -> HttpResponse:
    """Keep the still's marks under a name."""
    shown = _drawable(request, pk)
    form = NamedSetForm(request.POST, coach=request.user, marks=marks_of(shown))
    if form.is_valid():
        keep_named_set(shown, form.cleaned_data["name"])
        return _list(request, shown, kept_as=form.cleaned_data["name"])
    response = _list(request, shown, form=form)
    response.status_code = 422
    return response


@require_POST
def copy(request: HttpRequest, pk: int) -> HttpResponse:
    """Put the still's marks on other stills of its clip."""
    shown = _drawable(request, pk)
    form = CopyForm(request.POST, still=shown, targets=same_size(shown))
    if not form.is_valid():
        response = _list(request, shown, copy_form=form)
        response.status_code = 422
        return response
    return _list(request, shown, copied=copy_marks(shown, form.cleaned_data["stills"]))


@require_POST
def take_back_copies(request: HttpRequest, pk: int) -> HttpResponse:
    """Undo a copying."""
    shown = _drawable(request, pk)
    try:
        count = take_back(request.POST.get("undo", ""), request.user)
    except BadSignature:
        return HttpResponseBadRequest("That is no copying of marks that this site has made.")
    stills = "1 still" if count == 1 else f"{count} stills"
    return _list(request, shown, said=f"The copied marks are off {stills} again.")


@require_safe
def named_set(request: HttpRequest, pk: int) -> HttpResponse:
    """A kept set as JSON, with the size of the picture that it was drawn on."""
    kept = get_object_or_404(NamedSet.objects.visible_to(request.user), pk=pk)
    size = {"width": kept.width_px, "height": kept.height_px}
    return JsonResponse({"marks": kept.marks, **size})


@require_POST
def remove_set(request: HttpRequest, pk: int) -> HttpResponse:
    kept = get_object_or_404(NamedSet.objects.led_by(request.user), pk=pk)
    kept.remove()
    return render(request, "marks/_named_set.html", {"kept": kept, "is_removed": True})


@require_POST
def bring_back_set(request: HttpRequest, pk: int) -> HttpResponse:
    """Undo the removal; if another set has the name by now, say so."""
    kept = get_object_or_404(NamedSet.objects.led_by(request.user), pk=pk)
    if kept.bring_back() or NamedSet.objects.visible_to(request.user).filter(pk=pk).exists():
        return render(request, "marks/_named_set.html", {"kept": kept})
    context = {"kept": kept, "is_removed": True, "is_taken": True}
    return render(request, "marks/_named_set.html", context)


def _list(
    request: HttpRequest,
    shown: Still,
    *,
    form: NamedSetForm | None = None,
    copy_form: CopyForm | None = None,
    copied: Copied | None = None,
    kept_as: str = "",
    said: str = "",
) -> HttpResponse:
    context = {
        "still": shown,
        "sets": NamedSet.objects.visible_to(request.user),
        "others": marked_stills(shown),
        "marks": marks_of(shown),
        "form": form or NamedSetForm(coach=request.user, marks=[]),
        "targets": same_size(shown),
        "copy_form": copy_form,
        "copied": copied,
        "kept_as": kept_as,
        "said": said,
    }
    return render(request, "marks/_sets.html", context)
