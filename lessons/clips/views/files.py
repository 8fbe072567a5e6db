"""The files of clips and stills, for those who may see them."""

from __future__ import annotations

from pathlib import PurePath

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.utils.http import content_disposition_header
from django.views.decorators.http import require_safe

from lessons.clips.chapters import chapters as as_chapters
from lessons.clips.models import Clip, Cut, Still
from portal.files.serving import send_file

CONTENT_TYPES = {
    "watch": "video/mp4",
    "poster": "image/jpeg",
    "strip": "image/jpeg",
    "peaks": "application/json",
    "times": "application/json",
    "original": "application/octet-stream",
}


@require_safe
def file(request: HttpRequest, pk: int, what: str) -> HttpResponse:
    """One file of a clip. The original, which may hold a place and a device, is the coach's."""
    if what not in CONTENT_TYPES:
        raise Http404
    clip = get_object_or_404(Clip.objects.visible_to(request.user), pk=pk)
    if what == "original" and clip.coach != request.user:
        raise Http404
    stored = getattr(clip, what)
    if not stored:
        raise Http404
    name = clip.file_name if what == "original" else ""
    return send_file(request, stored, content_type=CONTENT_TYPES[what], download_name=name)


@require_safe
def chapters(request: HttpRequest, pk: int) -> HttpResponse:
    """The positions of a clip's swings as WebVTT chapters; with `?download` as a file to keep."""
    clip = get_object_or_404(Clip.objects.visible_to(request.user).ready(), pk=pk)
    response = HttpResponse(as_chapters(clip), content_type="text/vtt; charset=utf-8")
    if "download" in request.GET:
        name = f"{PurePath(clip.file_name).stem or 'clip'}.vtt"
        response["Content-Disposition"] = content_disposition_header(True, name)
    return response


@require_safe
def study(request: HttpRequest, pk: int) -> HttpResponse:
    """The part of a clip that one cut holds, to step through."""
    cut = get_object_or_404(Cut.objects.visible_to(request.user).ready(), pk=pk)
    return send_file(request, cut.study, content_type="video/mp4")


@require_safe
def picture(request: HttpRequest, pk: int) -> HttpResponse:
    """A still's picture, without marks."""
    still = get_object_or_404(Still.objects.visible_to(request.user).ready(), pk=pk)
    return send_file(request, still.picture, content_type="image/jpeg")
