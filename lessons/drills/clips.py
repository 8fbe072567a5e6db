"""The clip of a drill: an upload of the kind 'drill-clip' becomes it."""

from __future__ import annotations

from django.urls import reverse

from lessons.clips.intake import check_video
from lessons.clips.service import receive_clip
from lessons.drills.models import Drill
from portal.accounts.models import User
from portal.files.kinds import Refused
from portal.files.models import Upload


def check_drill_clip(user: User, metadata: dict[str, str], length: int) -> None:
    """May this user send a clip of so many bytes for the drill that the metadata name?

    Metadata: drill (its key), filename. Raises Refused with a sentence.
    """
    named_drill(user, metadata)
    check_video(metadata, length)


def take_drill_clip(upload: Upload) -> str:
    """Put the clip of a finished upload on its drill; returns the drill's address."""
    drill = named_drill(upload.owner, upload.metadata)
    clip = receive_clip(upload)
    Drill.objects.filter(pk=drill.pk).update(clip=clip)
    return reverse("drills:drill", args=[drill.pk])


def named_drill(user: User, metadata: dict[str, str]) -> Drill:
    key = metadata.get("drill", "")
    mine = Drill.objects.visible_to(user)
    drill = mine.filter(pk=key).first() if key.isdecimal() and len(key) < 19 else None
    if drill is None:
        raise Refused("The drill of this clip is not in your library. Open the drill again.")
    return drill
