"""Whether anything hangs on a row, also in rooms that this one knows nothing of."""

from __future__ import annotations

from django.db.models import Model
from django.db.models.fields.reverse_related import ForeignObjectRel


def is_pointed_at(row: Model) -> bool:
    """Whether any row of any room points at it: a still's marks, a recap with it, a question."""
    links = (
        link
        for link in type(row)._meta.get_fields(include_hidden=True)
        if isinstance(link, ForeignObjectRel)
    )
    return any(
        link.related_model._base_manager.filter(**{link.field.name: row.pk}).exists()
        for link in links
    )
