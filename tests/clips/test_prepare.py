"""The prepare task, with the real ffmpeg."""

from __future__ import annotations

import datetime
import hashlib
import json
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest
from django.core.files.storage import default_storage
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from lessons.clips import preparing, service, tasks, times
from lessons.clips.models import Clip
from lessons.visits.models import Lesson
from media_tools.errors import ToolFailed
from portal.files.models import Piece
from portal.work.sending import sweep
from tests.clips.conftest import FPS, FRAMES
from tests.servers import need
from tests.work.rest import rested

FILES = ("original", "watch", "poster", "strip", "peaks", "motion", "times")


def files_under(folder: Path) -> set[Path]:
    clips = folder / "clips"
    return {path for path in clips.rglob("*") if path.is_file()} if clips.exists() else set()


def probed(path: Path, entries: str) -> dict:
    """What ffprobe, of Debian's ffmpeg package, says of a file."""
    command = [need("ffprobe"), "-v", "error", "-show_entries", entries, "-of", "json", path]
    done = subprocess.run(command, capture_output=True, check=True)
    return json.loads(done.stdout)


@pytest.fixture
def clip(lesson: Lesson, swing_file: Path, send_in: Callable[..., Clip]) -> Clip:
    return send_in(lesson, swing_file.read_bytes())


def test_it_makes_everything_a_player_needs(ready_clip: Clip):
    assert ready_clip.progress_permille == 1000
    assert (ready_clip.width_px, ready_clip.height_px) == (320, 180)
    assert ready_clip.duration_us == pytest.approx(FRAMES / FPS * 1e6, abs=2000)
    assert ready_clip.strip_count > 0
    for name in FILES:
        assert getattr(ready_clip, name).size > 0
    table = times.read(ready_clip)
    assert len(table) == FRAMES
    # the truth of the film: frame k is shown from k / 60 s on
    assert all(abs(t - k * 1e6 / FPS) < 20 for k, t in enumerate(table))


def test_the_renditions_carry_no_place_and_no_device(
    lesson: Lesson, swing_file: Path, send_in: Callable[..., Clip], stored_files: Path
):
    tagged = swing_file.with_name("tagged.mov")
    place = ["-metadata", "location=+53.34-006.26/", "-metadata", "make=Some phone"]
    flags = ["-movflags", "use_metadata_tags"]
    command = [need("ffmpeg"), "-v", "error", "-y", "-i", swing_file, "-c", "copy"]
    subprocess.run([*command, *place, *flags, tagged], check=True)
    assert "+53.34" in json.dumps(probed(tagged, "format_tags"))
    clip = send_in(lesson, tagged.read_bytes())
    tasks.prepare(clip.pk)
    clip.refresh_from_db()
    cut = clip.cuts.get()
    tasks.cut(cut.pk)
    cut.refresh_from_db()
    for file in (clip.watch, clip.motion, cut.study):
        tags = json.dumps(probed(stored_files / file.name, "format_tags:stream_tags"))
        assert "53.34" not in tags
        assert "Some phone" not in tags


def test_it_keeps_the_original_byte_for_byte(ready_clip: Clip, swing_file: Path):
    data = swing_file.read_bytes()
    with ready_clip.original.open() as file:
        assert file.read() == data
    assert ready_clip.original_bytes == len(data)
    assert ready_clip.original_sha256 == hashlib.sha256(data).hexdigest()


def test_it_lets_the_pieces_go_once_the_original_is_kept(ready_clip: Clip):
    assert ready_clip.upload is None
    assert not Piece.objects.exists()


def test_running_twice_changes_nothing(ready_clip: Clip, stored_files: Path):
    row, files = Clip.objects.values().get(pk=ready_clip.pk), files_under(stored_files)
    tasks.prepare(ready_clip.pk)
    assert Clip.objects.values().get(pk=ready_clip.pk) == row
    assert files_under(stored_files) == files


def test_it_leaves_a_clip_alone_that_another_worker_has(clip: Clip):
    Clip.claim(clip.pk)
    tasks.prepare(clip.pk)
    clip.refresh_from_db()
    assert (clip.state, clip.attempts) == (Clip.State.PREPARING, 1)
    assert not clip.original


def test_a_worker_that_lost_the_lease_leaves_nothing_behind(
    clip: Clip, monkeypatch: pytest.MonkeyPatch, stored_files: Path
):
    before = files_under(stored_files)
    real = preparing.media.first

    def slow(*args: object, **kwargs: object) -> object:
        made = real(*args, **kwargs)
        # meanwhile the lease has lapsed, and another worker took the clip
        lapsed = timezone.now() - datetime.timedelta(seconds=1)
        Clip.objects.filter(pk=clip.pk).update(lease_until=lapsed)
        assert Clip.claim(clip.pk)
        return made

    monkeypatch.setattr(preparing.media, "first", slow)
    tasks.prepare(clip.pk)
    clip.refresh_from_db()
    assert clip.state == Clip.State.PREPARING
    assert not clip.watch
    assert {path.name for path in files_under(stored_files) - before} == {"original"}


def test_the_work_stops_when_the_lease_is_lost(clip: Clip, monkeypatch: pytest.MonkeyPatch):
    real = preparing.media.first

    def lost(*args: object, **kwargs: object) -> object:
        Clip.objects.filter(pk=clip.pk).update(lease_token=None)
        kwargs["on_progress"](0.5)
        assert kwargs["should_stop"]()
        return real(*args, **kwargs)

    monkeypatch.setattr(preparing.media, "first", lost)
    tasks.prepare(clip.pk)
    clip.refresh_from_db()
    assert not clip.watch


def test_a_cancelled_preparation_stops_ffmpeg_and_keeps_the_original(
    clip: Clip, monkeypatch: pytest.MonkeyPatch, stored_files: Path
):
    before = files_under(stored_files)
    real = preparing.media.first

    def cancelled(*args: object, **kwargs: object) -> object:
        assert Clip.objects.get(pk=clip.pk).cancel()
        return real(*args, **kwargs)

    monkeypatch.setattr(preparing.media, "first", cancelled)
    tasks.prepare(clip.pk)
    clip.refresh_from_db()
    assert clip.is_cancelled
    assert default_storage.exists(clip.original.name)
    assert {path.name for path in files_under(stored_files) - before} == {"original"}
    assert not clip.cuts.exists()
    monkeypatch.undo()
    assert service.prepare_again(clip)
    tasks.prepare(clip.pk)
    clip.refresh_from_db()
    assert clip.is_ready


def test_a_second_attempt_goes_on_from_the_kept_original(
    clip: Clip, monkeypatch: pytest.MonkeyPatch, stored_files: Path
):
    before = files_under(stored_files)
    with monkeypatch.context() as broken:
        broken.setattr(preparing.media, "first", fails_with(OSError("disk away")))
        tasks.prepare(clip.pk)
    clip.refresh_from_db()
    assert (clip.state, clip.attempts, clip.reason) == (Clip.State.RECEIVED, 1, "")
    original = clip.original.name
    tasks.prepare(rested(clip))
    clip.refresh_from_db()
    assert clip.is_ready
    assert clip.original.name == original
    assert len(files_under(stored_files) - before) == len(FILES)


@pytest.mark.parametrize("error", [OSError("disk away"), ToolFailed("It stopped.", "tail")])
def test_the_third_failure_rejects_it_and_keeps_the_original(
    clip: Clip, monkeypatch: pytest.MonkeyPatch, error: Exception
):
    monkeypatch.setattr(preparing.media, "first", fails_with(error))
    for _ in range(3):
        tasks.prepare(rested(clip))
    clip.refresh_from_db()
    assert clip.is_rejected
    assert clip.may_go_again
    assert clip.reason in {preparing.GIVEN_UP, "It stopped."}
    assert default_storage.exists(clip.original.name)


def test_a_clip_that_takes_the_process_with_it_is_rejected_in_the_end(clip: Clip):
    lapsed = timezone.now() - datetime.timedelta(seconds=1)
    for _ in range(3):
        assert Clip.claim(clip.pk)
        Clip.objects.filter(pk=clip.pk).update(lease_until=lapsed)
    tasks.prepare(clip.pk)
    clip.refresh_from_db()
    assert clip.is_rejected
    assert clip.reason == preparing.GIVEN_UP


def fails_with(error: Exception) -> Callable[..., object]:
    def fail(*args: object, **kwargs: object) -> object:
        raise error

    return fail


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"a text, no video" * 20, "not a video"),
        (b"#EXTM3U\n#EXTINF:1\nhttp://127.0.0.1/secret.ts\n", "a list that points at videos"),
        (b"\xff\xd8\xff\xe0" + b"\0" * 400, "a photo, not a video"),
        (b"\0\0\0\x18ftypmp42" + b"\0" * 400, "cut off"),
    ],
)
def test_it_refuses_what_is_no_video_and_keeps_the_file(
    lesson: Lesson, send_in: Callable[..., Clip], data: bytes, words: str
):
    clip = send_in(lesson, data)
    tasks.prepare(clip.pk)
    clip.refresh_from_db()
    assert clip.is_rejected
    assert not clip.may_go_again
    assert words in clip.reason
    with clip.original.open() as file:
        assert file.read() == data


def test_it_refuses_a_recording_without_a_picture(
    lesson: Lesson, send_in: Callable[..., Clip], tmp_path: Path
):
    sound = tmp_path / "voice.m4a"
    tone = ["-f", "lavfi", "-i", "sine=duration=0.5", "-c:a", "aac"]
    subprocess.run([need("ffmpeg"), "-v", "error", *tone, sound], check=True)
    clip = send_in(lesson, sound.read_bytes())
    tasks.prepare(clip.pk)
    clip.refresh_from_db()
    assert "has no picture" in clip.reason


def test_it_refuses_what_is_longer_than_the_site_takes(clip: Clip, settings):
    settings.MAX_CLIP_US = 500_000
    tasks.prepare(clip.pk)
    clip.refresh_from_db()
    assert clip.is_rejected
    assert "longer than" in clip.reason


def test_a_file_that_was_cut_off_is_shown_as_far_as_it_goes(
    lesson: Lesson, swing_file: Path, send_in: Callable[..., Clip], as_coach: Client
):
    data = swing_file.with_name("first.mov")  # the index first: what comes after can be cut off
    command = [need("ffmpeg"), "-v", "error", "-y", "-i", swing_file, "-c", "copy"]
    subprocess.run([*command, "-movflags", "+faststart", data], check=True)
    whole = data.read_bytes()
    clip = send_in(lesson, whole[: len(whole) * 3 // 4])
    tasks.prepare(clip.pk)
    clip.refresh_from_db()
    assert clip.is_ready
    assert 10 < len(times.read(clip)) < FRAMES
    assert (
        preparing.CUT_SHORT in as_coach.get(reverse("clips:clip", args=[clip.pk])).content.decode()
    )


def test_an_upload_whose_pieces_are_gone_is_rejected_with_what_to_do(clip: Clip):
    for piece in clip.upload.pieces.all():
        default_storage.delete(piece.file.name)
    tasks.prepare(clip.pk)
    clip.refresh_from_db()
    assert clip.reason == preparing.LOST


def test_progress_is_written_to_the_row(clip: Clip, monkeypatch: pytest.MonkeyPatch):
    seen = []
    real = preparing.media.first

    def watched(*args: object, **kwargs: object) -> object:
        kwargs["on_progress"](0.4)
        assert Clip.objects.get(pk=clip.pk).began_at
        seen.append(Clip.objects.get(pk=clip.pk).progress_permille)
        kwargs["on_progress"](0.41)  # too soon after the last to be worth a write
        seen.append(Clip.objects.get(pk=clip.pk).progress_permille)
        return real(*args, **kwargs)

    monkeypatch.setattr(preparing.media, "first", watched)
    tasks.prepare(clip.pk)
    assert seen == [400, 400]


def test_the_sweep_sends_a_clip_that_was_never_sent(clip: Clip, no_worker: list[int]):
    Clip.objects.filter(pk=clip.pk).update(sent_at=None)
    no_worker.clear()
    sweep()
    assert no_worker == [clip.pk]
