"""Files that are refused, each with its own kind of error and a sentence for the uploader."""

from __future__ import annotations

import struct
from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image

from media_tools import boxes, errors
from media_tools.source import Limits, look
from tests.media_tools.clips import Recipe, frame_times_us, make, run_wheel

Clip = Callable[[str], Path]


def refusal(path: Path, kind: type[errors.MediaError], limits: Limits | None = None) -> str:
    """The sentence with which a file is refused."""
    with pytest.raises(kind) as caught:
        look(path, limits or Limits())
    sentence = caught.value.sentence
    assert sentence.endswith(".")
    assert len(sentence) < 300
    assert str(path.parent) not in sentence
    assert caught.value.detail
    return sentence


@pytest.mark.parametrize(
    ("content", "word"),
    [
        (b"", "empty"),
        (b"Dear coach, here is my swing.", "not a video"),
        (b"PK\x03\x04" + bytes(3000), "not a video"),
        (bytes(5000), "not a video"),
        (b"\x89PNG\r\n\x1a\n" + bytes(100), "photo"),
        (b"\xff\xd8\xff\xe0" + bytes(100), "photo"),
        (b"\0\0\0\x18ftypheic" + bytes(100), "photo"),
        (b"RIFF\0\0\0\0WAVEfmt " + bytes(100), "not a video"),
        (b"ID3\x04" + bytes(4000), "not a video"),
    ],
)
def test_it_refuses_what_is_no_video(tmp_path: Path, content: bytes, word: str) -> None:
    path = tmp_path / "swing.mp4"
    path.write_bytes(content)
    assert word in refusal(path, errors.NotAVideo)


@pytest.mark.parametrize(
    "content",
    [
        "#EXTM3U\n#EXT-X-VERSION:3\n#EXTINF:4,\nhttp://127.0.0.1/a.ts\n",
        "\ufeff#EXTM3U\n/etc/passwd\n",
        "ffconcat version 1.0\nfile '/etc/passwd'\n",
        "file 'other.mp4'\nfile 'third.mp4'\n",
        '<?xml version="1.0"?>\n<MPD xmlns="urn:mpeg:dash:schema:mpd:2011"></MPD>',
        "[playlist]\nFile1=http://127.0.0.1/a.mp4\n",
        "v=0\r\no=- 0 0 IN IP4 127.0.0.1\r\n",
        "http://127.0.0.1/swing.mp4",
    ],
)
def test_it_refuses_lists_that_point_elsewhere(tmp_path: Path, content: str) -> None:
    path = tmp_path / "swing.mp4"
    path.write_text(content, encoding="utf-8")
    assert "list" in refusal(path, errors.PointsElsewhere)


def test_it_refuses_a_movie_whose_pictures_are_in_another_file(clip: Clip, tmp_path: Path) -> None:
    data = bytearray(clip("h264").read_bytes())
    # ISO/IEC 14496-12, 8.7.2: without flag 1 an entry of 'dref' names another place
    at = data.index(b"dref") + 12
    length = struct.unpack_from(">I", data, at)[0]
    place = b"file:///etc/passwd\0"
    assert bytes(data[at + 4 : at + 8]) == b"url "
    data[at : at + length] = struct.pack(">I4sI", 12 + len(place), b"url ", 0) + place
    for box in (b"dref", b"dinf", b"minf", b"mdia", b"trak", b"moov"):
        start = data.index(box) - 4
        size = struct.unpack_from(">I", data, start)[0]
        struct.pack_into(">I", data, start, size + len(place))
    path = tmp_path / "elsewhere.mp4"
    path.write_bytes(data)
    assert "another file" in refusal(path, errors.PointsElsewhere)


def test_it_refuses_sound_alone(tmp_path: Path) -> None:
    path = tmp_path / "voice.m4a"
    run_wheel("-f", "lavfi", "-i", "sine=d=1", "-c:a", "aac", str(path))
    assert "no picture" in refusal(path, errors.NoPicture)


def test_it_refuses_an_encrypted_movie(clip: Clip, tmp_path: Path) -> None:
    path = tmp_path / "locked.mp4"
    scheme = ("-encryption_scheme", "cenc-aes-ctr", "-encryption_key", "0f" * 16)
    run_wheel(
        *("-i", str(clip("h264")), "-c", "copy", *scheme, "-encryption_kid", "a7" * 16, str(path))
    )
    assert "copy-protected" in refusal(path, errors.Encrypted)


def test_it_refuses_a_picture_it_cannot_read(tmp_path: Path) -> None:
    path = make(tmp_path / "odd.mkv", Recipe("mkv", frames=5, codec=("-c:v", "ffv1"), sound=()))
    assert "ffv1" in refusal(path, errors.NotAVideo)


def test_it_refuses_a_movie_cut_off_before_its_index(clip: Clip, tmp_path: Path) -> None:
    data = clip("h264").read_bytes()
    path = tmp_path / "cut.mp4"
    path.write_bytes(data[: data.index(b"moov") - 100])
    assert "missing" in refusal(path, errors.Unreadable)


def test_it_refuses_a_movie_of_noise(clip: Clip, tmp_path: Path) -> None:
    data = bytearray(clip("silent").read_bytes())
    start = data.index(b"mdat") + 4
    data[start : data.index(b"moov") - 4] = b"\xa5" * (data.index(b"moov") - 4 - start)
    path = tmp_path / "noise.mp4"
    path.write_bytes(data)
    assert "picture" in refusal(path, errors.Unreadable)


def test_a_movie_cut_short_but_readable_is_told_as_such(clip: Clip, tmp_path: Path) -> None:
    whole = tmp_path / "front.mp4"
    run_wheel("-i", str(clip("few-keys")), "-c", "copy", "-movflags", "+faststart", str(whole))
    path = tmp_path / "cut.mp4"
    data = whole.read_bytes()
    path.write_bytes(data[: len(data) * 2 // 3])
    found = look(path)
    assert found.cut_short
    assert not look(whole).cut_short
    assert 10 < found.frame_count < 90
    # ffprobe decodes at most the frame that was cut in two less
    assert abs(len(frame_times_us(path)) - found.frame_count) <= 1


def test_it_refuses_too_many_bytes(clip: Clip) -> None:
    assert "limit" in refusal(clip("h264"), errors.TooLarge, Limits(size_bytes=1000))


def test_it_refuses_too_many_pixels(clip: Clip) -> None:
    assert "320 by 180" in refusal(clip("h264"), errors.TooLarge, Limits(side_px=300))
    assert "320 by 180" in refusal(clip("h264"), errors.TooLarge, Limits(pixels=50_000))


def test_stretched_pixels_count_as_they_are_shown(clip: Clip) -> None:
    refusal(clip("wide-pixels"), errors.TooLarge, Limits(side_px=300))


def test_it_refuses_what_lasts_too_long(clip: Clip) -> None:
    limits = Limits(duration_us=1_000_000)
    assert "longer" in refusal(clip("h264"), errors.TooLong, limits)


def test_it_refuses_too_many_frames(clip: Clip) -> None:
    assert "100 frames" in refusal(clip("hevc-240"), errors.TooLong, Limits(frames=100))


def test_reading_has_a_time_limit(clip: Clip, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("media_tools.times.CHECK_EVERY", 1)
    refusal(clip("h264"), errors.TimedOut, Limits(look_s=-1.0))


def test_a_photo_with_the_name_of_a_video_is_called_a_photo(tmp_path: Path) -> None:
    path = tmp_path / "swing.mov"
    Image.new("RGB", (40, 30)).save(path, "JPEG")
    assert "photo" in refusal(path, errors.NotAVideo)


def test_a_missing_file_is_the_callers_mistake(tmp_path: Path) -> None:
    with pytest.raises(FileNotFoundError):
        look(tmp_path / "nothing.mp4")


def test_boxes_of_garbage_are_read_without_an_error(tmp_path: Path) -> None:
    path = tmp_path / "garbage"
    huge = struct.pack(">I4sQ", 1, b"moov", 2**63)
    endless = struct.pack(">I4s", 8, b"free") * 20_000
    for content in (b"", b"abc", huge, endless, struct.pack(">I4s", 3, b"moov"), bytes(64)):
        path.write_bytes(content)
        boxes.read_structure(path)


def test_an_error_says_both_halves_in_the_log() -> None:
    error = errors.Unreadable("Sentence.", "detail")
    assert (str(error), str(errors.Unreadable("Sentence."))) == ("Sentence. (detail)", "Sentence.")
    assert errors.ToolFailed("x").may_pass_later
    assert not error.may_pass_later
