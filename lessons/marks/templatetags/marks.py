"""`{% drawing_of still as drawing %}`: the marks of a still for a template to draw."""

from __future__ import annotations

from django import template

from lessons.marks import svg

register = template.Library()
register.simple_tag(svg.drawing_of)


@register.filter
def px(value: float) -> str:
    """A length for an SVG attribute: a hundredth of a pixel is exact enough."""
    return f"{value:.2f}"
