"""The way back to a pairing from a still or clip of one of its swings."""

from __future__ import annotations

from typing import Any
from urllib.parse import parse_qs, urlsplit

from django import template
from django.template.context import RequestContext

from lessons.clips.models import Clip
from lessons.pairings.models import Pairing

register = template.Library()
MOST_DIGITS = 18  # of a key that every database takes


@register.simple_tag(takes_context=True)
def came_from(context: RequestContext, clip: Clip) -> Pairing | None:
    """The pairing that led here with `?from=<key>`: the reader's own, with this clip in it."""
    request: Any = context["request"]
    key = request.GET.get("from", "")
    if not key and request.htmx:  # a part of the page asks for itself
        query = parse_qs(urlsplit(request.htmx.current_url or "").query)
        key = query.get("from", [""])[0]
    if not (key.isascii() and key.isdigit() and len(key) <= MOST_DIGITS):
        return None
    mine = Pairing.objects.visible_to(request.user).select_related("lesson")
    return mine.filter(pk=int(key), sides__clip=clip).first()
