"""`{{ text|paragraphs }}`: a consent's paragraphs; `{% consents_of_wards %}`: a guardian's."""

from __future__ import annotations

from django import template
from django.template.context import RequestContext
from django.utils.safestring import SafeString

from lessons.students.wards import wards_part

register = template.Library()


@register.filter
def paragraphs(text: str) -> list[tuple[str, str]]:
    """Each paragraph as its lead ('Who sees it', or empty) and the rest."""
    parts = []
    for paragraph in text.split("\n\n"):
        lead, colon, rest = paragraph.partition(": ")
        parts.append((lead, rest) if colon and rest else ("", paragraph))
    return parts


@register.simple_tag(takes_context=True)
def consents_of_wards(context: RequestContext) -> SafeString | str:
    """What the signed-in guardian consented to, for their first page; else nothing."""
    return wards_part(context["request"])
