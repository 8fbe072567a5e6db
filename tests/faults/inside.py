"""A process inside the site that does and tells what a test asks: one JSON line each way.

`python -m tests.faults.inside`, under the site's environment. A line is `[name, arguments]`; the
answer is what the function of that name returns, or `{"failed": ...}`.
"""

from __future__ import annotations

import hashlib
import io
import json
import sys
from pathlib import Path
from typing import BinaryIO

import django
from django.core.management import call_command
from django.db import DatabaseError, connection
from django.utils import timezone

django.setup()

from lessons.clips.models import Clip  # noqa: E402 - models only exist after setup
from lessons.clips.service import receive_clip, take_still  # noqa: E402, F401
from lessons.pairings.offering import Offer  # noqa: E402
from lessons.pairings.service import begin_pairing, save_picture  # noqa: E402
from lessons.paths.service import begin_path  # noqa: E402
from portal.files import uploads  # noqa: E402
from portal.files.models import Upload  # noqa: E402
from portal.mail.models import Letter  # noqa: E402
from portal.notices.models import HeldNotice, Push  # noqa: E402
from portal.operations.stored import referred_names, stored_names  # noqa: E402
from portal.work import sending  # noqa: E402
from portal.work.models import WorkRow  # noqa: E402
from tests import factories  # noqa: E402

PIECES = 4


def upload(path: str) -> int:
    """Send a file as a phone does, in pieces; the primary key of its clip."""
    source = Path(path)
    lesson = factories.LessonFactory()
    metadata = {"lesson": str(lesson.pk), "filename": source.name, "kind": "clip"}
    length = source.stat().st_size
    begun = uploads.begin_upload(lesson.student.coach, length, metadata)
    with source.open("rb") as stream:
        send_rest(begun, stream, length)
    return lesson.clips.get().pk


def send_rest(begun: Upload, stream: BinaryIO, length: int) -> None:
    most = length // PIECES + 1
    while begun.offset < length:
        size = min(most, length - begun.offset)
        piece = _Part(stream, size)
        uploads.take_piece(begun, begun.offset, piece, announced=size, checksum=None)


class _Part:
    """So many bytes of a stream."""

    def __init__(self, stream: BinaryIO, size: int) -> None:
        self.stream, self.left = stream, size

    def read(self, amount: int, /) -> bytes:
        found = self.stream.read(min(amount, self.left))
        self.left -= len(found)
        return found


def still(clip: int, time_us: int) -> int:
    return take_still(Clip.objects.get(pk=clip), time_us).pk


def path(clip: int, time_us: int) -> int:
    """What stands in the middle of the picture, to be followed."""
    found = Clip.objects.get(pk=clip)
    side = min(found.width_px, found.height_px) / 3
    middle = {"x": found.width_px / 2, "y": found.height_px / 2}
    box = {"time_us": time_us, **middle, "width": side, "height": side}
    return begin_path(found, box, "hip").pk


def saved_pairing(clip: int) -> int:
    """A picture of one swing beside another of the same clip."""
    found = Clip.objects.select_related("lesson").get(pk=clip)
    whole = {"begin_us": 0, "top_us": None, "finish_us": found.duration_us}
    moments = [found.duration_us // 2, found.duration_us // 3]
    swings = [factories.SwingFactory(clip=found, strike_us=us, **whole) for us in moments]
    pairing = begin_pairing(found.lesson, [Offer(found, swing) for swing in swings])
    return save_picture(pairing, 0).pk


def letter() -> int:
    """A letter that waits for a worker."""
    row = Letter.objects.create(kind="test/test", to="a@example.org", subject="S", text="T")
    sending.send(row)
    return row.pk


def held_notice() -> int:
    """A notice whose quiet hours are over, of a kind that nobody tells any more."""
    user = factories.UserFactory()
    words = {"kind": "test", "letter": "test", "subject": "S", "text": "T", "url": "/"}
    row = HeldNotice.objects.create(user=user, due_at=timezone.now(), **words)
    sending.send(row)
    return row.pk


def push() -> int:
    """A push message to a browser that is gone: it must fail, and say so."""
    row = Push.objects.create(user=factories.UserFactory(), title="T", body="B", url="/")
    sending.send(row)
    return row.pk


def kinds() -> list[str]:
    return sorted(model.__name__ for model in sending.kinds())


def rows() -> list[dict[str, object]]:
    """Every row of work of every kind."""
    return [
        {
            "kind": model.__name__,
            "pk": row.pk,
            "is": word_for(row),
            "attempts": row.attempts,
            "reason": getattr(row, "reason", ""),
        }
        for model in sending.kinds()
        for row in model._base_manager.order_by("pk")
    ]


def word_for(row: WorkRow) -> str:
    words = {row.WAITING: "waiting", row.RUNNING: "running", row.DONE: "done", row.FAILED: "failed"}
    return words.get(row.state, row.state)


def deliver(kind: str, pk: int, times: int) -> None:
    """The same message so many times over."""
    model = next(model for model in sending.kinds() if model.__name__ == kind)
    for _ in range(times):
        sending.kinds()[model].delay(pk)


def sweep_files() -> str:
    """`manage.py sweep --files` of every age, without a new process; what it printed."""
    said = io.StringIO()
    call_command("sweep", files=True, older_than_hours=0.0, stdout=said)
    return said.getvalue()


def files() -> dict[str, list[str]]:
    """Stored files that no row refers to, and files that a row refers to and that are gone."""
    stored, referred = set(stored_names()), set(referred_names())
    return {
        "stored": sorted(stored),
        "orphans": sorted(stored - referred),
        "missing": sorted(referred - stored),
    }


def originals() -> list[list[object]]:
    """For each clip: its key, the SHA-256 of what is stored as its original, and what is noted.

    A clip whose original is not kept yet answers with its pieces, joined.
    """
    found = []
    for clip in Clip.objects.order_by("pk"):
        digest = hashlib.sha256()
        names = [clip.original.name] if clip.original else []
        if not names and clip.upload is not None:
            names = [piece.file.name for piece in clip.upload.pieces.order_by("offset")]
        for name in names:
            with clip.original.storage.open(name) as file:
                for chunk in file.chunks():
                    digest.update(chunk)
        found.append([clip.pk, digest.hexdigest() if names else "", clip.original_sha256])
    return found


def main() -> None:
    """Answer until the input ends."""
    for line in sys.stdin:
        name, arguments = json.loads(line)
        try:
            answer = globals()[name](*arguments)
        except (DatabaseError, OSError, uploads.TusError) as error:
            connection.close()
            answer = {"failed": f"{type(error).__name__}: {error}"}
        sys.stdout.write(json.dumps(answer) + "\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main()
