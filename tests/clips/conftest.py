"""Real films, uploads of them, and clips prepared from them by the task itself."""

from __future__ import annotations

import io
import json
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage

from lessons.clips import tasks
from lessons.clips.models import Clip, Swing
from lessons.visits.models import Lesson
from media_tools.mannequin import Film, SwingSpec, TimedSwing, film
from portal.accounts.models import User
from portal.files.models import Upload
from portal.files.uploads import begin_upload, take_piece
from tests import factories
from tests.servers import need

FPS = 60
FRAMES = 48


@pytest.fixture(scope="session")
def swing_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A small film of 48 frames; each carries its number as a code that survives encoding."""
    path = tmp_path_factory.mktemp("films") / "swing.mp4"
    swing = TimedSwing(0.0, SwingSpec(backswing_s=0.4, downswing_s=0.2))
    film(
        Film(
            swings=(swing,), size_px=(320, 180), fps=FPS, duration_s=FRAMES / FPS, frame_code=True
        ),
        path,
    )
    return path


@pytest.fixture(scope="session")
def late_file(swing_file: Path) -> Path:
    """The same film in a container whose clock does not begin at 0 (MPEG-TS)."""
    path = swing_file.with_name("late.ts")
    command = [need("ffmpeg"), "-v", "error", "-i", swing_file, "-c", "copy", path]
    subprocess.run(command, check=True)
    return path


@pytest.fixture
def no_worker(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Nothing is sent to a broker; the keys of what would have been are noted."""
    sent: list[int] = []
    for task in (tasks.prepare, tasks.search, tasks.cut, tasks.pull):
        monkeypatch.setattr(task, "delay", sent.append)
    return sent


@pytest.fixture
def send_in(no_worker: list[int]) -> Callable[..., Clip]:
    """Upload bytes for a lesson as the coach, in pieces of 50,000 bytes; returns the clip."""

    def send(lesson: Lesson, data: bytes, **metadata: str) -> Clip:
        upload = upload_of(lesson.student.coach, data, lesson=str(lesson.pk), **metadata)
        return Clip.objects.get(upload=upload)

    return send


def upload_of(owner: User, data: bytes, **metadata: str) -> Upload:
    upload = begin_upload(owner, len(data), {"kind": "clip", "filename": "swing.mov", **metadata})
    for start in range(0, len(data), 50_000):
        piece = data[start : start + 50_000]
        take_piece(upload, start, io.BytesIO(piece), announced=len(piece), checksum=None)
    return upload


@pytest.fixture
def timed_swing(posted_lesson: Lesson, no_worker: list[int]) -> Swing:
    """A swing in the row of a ready clip: no film, but the times of its 180 frames."""
    table = [round(k * 1e6 / FPS) for k in range(180)]
    times = default_storage.save("clips/times.json", ContentFile(json.dumps(table)))
    clip = factories.ClipFactory(lesson=posted_lesson, ready=True, times=times, frame_us=16_667)
    return factories.SwingFactory(clip=clip)


@pytest.fixture
def ready_clip(lesson: Lesson, swing_file: Path, send_in: Callable[..., Clip]) -> Clip:
    """A clip of the small film, prepared and cut by the tasks with the real ffmpeg."""
    clip = send_in(lesson, swing_file.read_bytes(), club="7-iron")
    tasks.prepare(clip.pk)
    clip.refresh_from_db()
    assert clip.is_ready, clip.reason
    for cut in clip.cuts.all():
        tasks.cut(cut.pk)
    return clip
