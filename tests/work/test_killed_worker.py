"""kill -9 of the worker group in the middle of a preparation: ready later, once, by itself."""

from __future__ import annotations

import json
import sqlite3
import subprocess
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from media_tools.mannequin import Film, TimedSwing, film
from tests.running import Site, kill_group
from tests.servers import need, wait_until

RECEIVE = """
import datetime
from pathlib import Path
from django.utils import timezone
from lessons.clips.service import receive_clip
from portal.files import uploads
from portal.files.models import Upload
from tests import factories
path = Path({path!r})
lesson = factories.LessonFactory()
metadata = dict(lesson=str(lesson.pk), filename="swing.mp4", kind="clip")
owner, length = lesson.student.coach, path.stat().st_size
upload = uploads.begin_upload(owner, length, metadata)
with path.open("rb") as stream:
    uploads.take_piece(upload, 0, stream, announced=length, checksum=None)
print(upload.clip.pk)
"""
LOOK = """
SELECT state, progress_permille AS permille, attempts,
    (SELECT count(*) FROM clips_cut WHERE state IN ('wanted', 'making'))
    + (SELECT count(*) FROM clips_swingsearch WHERE state IN ('wanted', 'looking')) AS left,
    (SELECT count(*) FROM clips_swing) AS swings
FROM clips_clip
"""
FILES = """
import json
from portal.operations.stored import referred_names, stored_names
print(json.dumps([sorted(stored_names()), sorted(set(referred_names()))]))
"""


@pytest.fixture(scope="module")
def recording(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Long enough that its preparation can be caught in the middle: one swing, ten times over."""
    folder = tmp_path_factory.mktemp("film")
    swing, path = folder / "swing.mp4", folder / "recording.mp4"
    film(Film(size_px=(640, 360), fps=30, swings=(TimedSwing(0.5),), duration_s=6), swing)
    again = [need("ffmpeg"), "-v", "error", "-stream_loop", "9", "-i", swing, "-c", "copy", path]
    subprocess.run(again, check=True)
    return path


@pytest.fixture(params=["folders", "redis"])
def site(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Site]:
    """A site on either transport."""
    environment = {}
    if request.param == "redis":
        environment["CELERY_BROKER_URL"] = request.getfixturevalue("redis_url")
    site = Site(tmp_path, environment)
    site.manage("make_ready")
    return site


def look(site: Site) -> dict[str, Any]:
    """The one clip, from the database's own file: sooner than a process of the site starts."""
    file = f"file:{site.folder / 'carryover.sqlite3'}?mode=ro"
    with closing(sqlite3.connect(file, uri=True, timeout=20)) as database:
        database.row_factory = sqlite3.Row
        return dict(database.execute(LOOK).fetchone())


@pytest.mark.servers
def test_a_killed_preparation_is_done_later_once_and_without_a_hand(site: Site, recording: Path):
    site.python(RECEIVE.format(path=str(recording)))
    first = site.start_worker(name="first")
    try:
        wait_until(lambda: look(site)["permille"] > 0, "the first worker is in the middle")
    finally:
        kill_group(first)
    killed = look(site)
    assert killed["state"] == "preparing"
    assert killed["permille"] < 1000

    with site.worker(name="second"), site.worker(name="third"), site.beat():
        wait_until(lambda: look(site)["state"] == "ready", "the clip is ready", 90)
        wait_until(lambda: look(site)["left"] == 0, "its swings are found and cut", 90)
    found = look(site)
    assert found["attempts"] == 2
    assert found["permille"] == 1000
    assert found["swings"] > 0
    stored, referred = json.loads(site.python(FILES))
    assert stored == referred  # one winner's files, and nothing beside them
