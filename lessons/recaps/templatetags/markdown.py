"""`{{ recap.body|markdown }}`: the coach's free text as HTML."""

from __future__ import annotations

from django import template
from django.utils.safestring import SafeString, mark_safe

from lessons.recaps.markdown import to_html

register = template.Library()


@register.filter
def markdown(text: str) -> SafeString:
    return mark_safe(to_html(text))  # noqa: S308 - sanitised in to_html
