"""`{% slot "desk.clips" lesson %}`: renders what other rooms put in a place of the page."""

from __future__ import annotations

from django import template
from django.template.context import RequestContext
from django.template.loader import render_to_string
from django.utils.safestring import SafeString, mark_safe

from lessons.students.slots import SLOTS

register = template.Library()


@register.simple_tag(takes_context=True)
def slot(context: RequestContext, name: str, subject: object) -> SafeString:
    """Every filling of the slot, in order, for this request and the thing it is about."""
    request = context["request"]
    place = SLOTS[name]
    parts = [
        render_to_string(filling, {place.subject: subject, **values(request, subject)}, request)
        for _, filling, values in place.fillings
    ]
    return mark_safe("".join(parts))  # noqa: S308 - rendered templates, escaped there
