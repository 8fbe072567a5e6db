"""How a pairing is shown: as its page reads it, and kept as its page sends it."""

from __future__ import annotations

import json
from typing import Any

from django.db import transaction

from lessons.pairings.forms import UNREADABLE, PairingForm, SideForm
from lessons.pairings.models import Pairing
from lessons.pairings.sides import Side, sides_of


class NotKept(Exception):
    """What was sent can't be kept; says why, in words for the coach."""


class OtherVersion(Exception):
    """It was changed elsewhere since it was read; `kept` is what is kept now."""

    def __init__(self, kept: dict[str, Any]) -> None:
        super().__init__("This pairing was changed in another window.")
        self.kept = kept


def kept_settings(pairing: Pairing, sides: list[Side]) -> dict[str, Any]:
    """The version that is kept, and the settings of it, as `keep_settings` takes them."""
    return {
        "version": pairing.version,
        "settings": {
            **{field: getattr(pairing, field) for field in PairingForm.Meta.fields},
            "sides": [
                {"id": side.row.pk}
                | {field: getattr(side.row, field) for field in SideForm.Meta.fields}
                for side in sides
            ],
        },
    }


def keep_settings(pairing: Pairing, sent: Any) -> int:
    """Keep settings sent by a page that last read `version`, all or nothing; the new version.

    `sent` has `version`, the fields of PairingForm, and `sides`, a list of objects with `id` and
    the fields of SideForm, in their order. Raises NotKept with what is wrong with it, OtherVersion
    when somebody else was faster. Sending what is kept once more is no conflict: the answer had
    been lost.
    """
    version, listed = _read(sent)
    rows = {row.pk: row for row in pairing.sides.select_related("clip")}
    keys = [side.get("id") for side in listed]
    if len(set(map(str, keys))) != len(keys) or any(key not in rows for key in keys):
        raise NotKept(UNREADABLE)
    form = PairingForm(sent, instance=pairing)
    sides = [SideForm(_values(side), instance=rows[side["id"]]) for side in listed]
    errors = [error for one in (form, *sides) for each in one.errors.values() for error in each]
    if errors:
        raise NotKept(" ".join(dict.fromkeys(errors)))
    with transaction.atomic():
        if pairing.replace(version, **form.cleaned_data):
            for order, side in enumerate(sides):
                side.instance.order = order
                side.instance.save(update_fields=[*SideForm.Meta.fields, "order"])
            return pairing.version
    kept = kept_settings(pairing, sides_of(pairing))
    wanted = [{"id": side.instance.pk, **side.cleaned_data} for side in sides]
    if kept["settings"] != {**form.cleaned_data, "sides": wanted}:
        raise OtherVersion(kept)
    return pairing.version


def _read(sent: Any) -> tuple[int, list[dict[str, Any]]]:
    """The version and the swings of what was sent."""
    version = sent.get("version") if isinstance(sent, dict) else None
    listed = sent.get("sides") if isinstance(sent, dict) else None
    if not isinstance(version, int) or isinstance(version, bool) or version < 0:
        raise NotKept(UNREADABLE)
    if not isinstance(listed, list) or not all(isinstance(side, dict) for side in listed):
        raise NotKept(UNREADABLE)
    return version, listed


def _values(side: dict[str, Any]) -> dict[str, Any]:
    """A form reads JSON from text: what is null or a list here is written as such."""
    return {**side, "points": json.dumps(side.get("points"))}
