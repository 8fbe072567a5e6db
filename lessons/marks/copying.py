"""The marks of one still on others of its clip: the same camera, so the same lines, as they are."""

from __future__ import annotations

import uuid
from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from django.core import signing
from django.db import transaction

from lessons.clips.models import Still
from lessons.marks.checking import MarksRefused
from lessons.marks.mark import Mark
from lessons.marks.measures import keep_scale
from lessons.marks.models import MarkSet
from lessons.marks.service import OtherVersion, marks_of, save_marks
from portal.accounts.models import User

SALT = "lessons.marks.copying"


@dataclass
class Copied:
    """What came of it: the ids of the new marks by still, and who got none, with the reason."""

    marks: dict[int, list[str]] = field(default_factory=dict)
    refused: list[str] = field(default_factory=list)

    @property
    def undo(self) -> str:
        """What `take_back` needs, signed: only what was copied can be taken back by it."""
        return signing.dumps(self.marks, salt=SALT) if self.marks else ""


def same_size(still: Still) -> list[Still]:
    """The clip's other stills that its marks fit as they are, in order of time."""
    found = Still.objects.current().ready().filter(clip=still.clip_id).exclude(pk=still.pk)
    found = found.filter(width_px=still.width_px, height_px=still.height_px)
    return list(found.select_related("mark_set").order_by("time_us"))


def copy_marks(still: Still, targets: Iterable[Still]) -> Copied:
    """Put the still's marks on the targets, above what is drawn there.

    A mark that a target has already, in the same place, is not put there twice; what can't be kept
    on one of them is told, and the others get theirs. A target's own ruler goes on counting.
    """
    marks, copied = marks_of(still), Copied()
    for target in targets:
        there = marks_of(target)
        known = {_look(mark) for mark in there}
        new = _renamed([mark for mark in marks if _look(mark) not in known], marks)
        if not new:
            continue
        try:
            kept, added = keep_scale(there, new)
            _save(target, [*kept, *added])
        except MarksRefused as refused:
            copied.refused.append(f"{target.title}: {refused}")
        except OtherVersion:
            copied.refused.append(f"{target.title}: its marks were just changed. Copy once more.")
        else:
            copied.marks[target.pk] = [mark.id for mark in new]
    return copied


def take_back(undo: str, user: User) -> int:
    """Remove copied marks again, from the user's own stills; how many stills it was.

    Raises signing.BadSignature for what no copying has given out. Marks that were changed since
    go too: they are still the copied ones.
    """
    copied = {int(pk): set(ids) for pk, ids in signing.loads(undo, salt=SALT).items()}
    stills = Still.objects.led_by(user).filter(pk__in=copied)
    done = 0
    with transaction.atomic():
        for kept in MarkSet.objects.filter(still__in=stills).select_for_update():
            left = [row for row in kept.marks if row["id"] not in copied[kept.still_id]]
            if len(left) < len(kept.marks):
                done += kept.replace(kept.version, left)
    return done


def _look(mark: Mark) -> Mark:
    """The mark without its name, that of its line, and whether it is the ruler that counts."""
    return replace(mark, id="", against="", shows="" if mark.kind == "ruler" else mark.shows)


def _renamed(chosen: Iterable[Mark], marks: Iterable[Mark]) -> list[Mark]:
    """Under names of their own; what they are measured against goes with them."""
    names = {mark.id: uuid.uuid4().hex for mark in marks}
    return [
        replace(mark, id=names[mark.id], against=names.get(mark.against, mark.against))
        for mark in chosen
    ]


def _save(target: Still, marks: list[Mark]) -> None:
    kept = MarkSet.objects.filter(still=target).first()
    save_marks(target, kept.version if kept else 0, [mark.as_json() for mark in marks])
