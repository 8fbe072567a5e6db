"""clips:chapters, the positions as WebVTT. Judged by webvtt-py and by the rules it does not check.

webvtt-py takes a cue that ends before it begins, so order and length are checked here besides
(WebVTT, W3C, section 4: a cue's end is greater than its start).
"""

from __future__ import annotations

import io
import re
from itertools import pairwise

import pytest
import webvtt
from django.test import Client
from django.urls import reverse

from lessons.clips import placing
from lessons.clips.chapters import chapters
from lessons.clips.models import Clip, Position, Swing
from lessons.clips.positions import positions_of
from lessons.visits.models import Lesson
from tests import factories

STAMP = re.compile(r"\d{2,}:[0-5]\d:[0-5]\d\.\d{3}")


def address(clip: Clip) -> str:
    return reverse("clips:chapters", args=[clip.pk])


def read(text: str) -> list[tuple[float, float, str]]:
    """Each cue's start and end in seconds and its text, by an outside reader."""
    cues = webvtt.from_buffer(io.StringIO(text)).captions
    for cue in cues:
        assert STAMP.fullmatch(cue.start)
        assert STAMP.fullmatch(cue.end)
    spans = [(_ms(cue.start), _ms(cue.end)) for cue in cues]
    assert all(start < end for start, end in spans)
    assert all(one[1] <= other[0] for one, other in pairwise(spans))
    return [
        (start / 1000, end / 1000, cue.text) for (start, end), cue in zip(spans, cues, strict=True)
    ]


def _ms(stamp: str) -> int:
    hours, minutes, seconds = stamp.split(":")
    return (int(hours) * 60 + int(minutes)) * 60_000 + round(float(seconds) * 1000)


def test_a_chapter_goes_from_each_position_to_the_next(as_coach: Client, timed_swing: Swing):
    answer = as_coach.get(address(timed_swing.clip))
    assert answer["Content-Type"] == "text/vtt; charset=utf-8"
    cues = read(answer.content.decode())
    assert [text.split()[0] for *_, text in cues] == Position.values
    for (start, end, _), here in zip(cues, positions_of(timed_swing), strict=True):
        assert 0 <= start - here.time_us / 1e6 <= 0.001
        assert start < end
    assert cues[-1][1] == pytest.approx(timed_swing.clip.duration_us / 1e6)


def test_what_is_a_guess_says_so(timed_swing: Swing):
    placing.place(timed_swing, "P5", 1_400_000)
    words = [text for *_, text in read(chapters(timed_swing.clip))]
    assert words[3:6] == [
        "P4 top",
        "P5 lead arm parallel coming down",
        "P6 shaft parallel coming down (a guess)",
    ]


def test_several_swings_are_told_apart_and_stay_in_order(timed_swing: Swing):
    later = {"begin_us": 2_400_000, "top_us": None, "strike_us": None, "finish_us": 2_900_000}
    factories.SwingFactory(clip=timed_swing.clip, **later)
    cues = read(chapters(timed_swing.clip))
    assert [text for *_, text in cues][-2:] == ["Swing 2, P1 address", "Swing 2, P10 finish"]


def test_swings_that_overlap_give_no_reversed_chapter(timed_swing: Swing):
    factories.SwingFactory(clip=timed_swing.clip, begin_us=1_000_000)
    # those that begin together are one: of ten and ten, P4 to P10 are shared
    assert len(read(chapters(timed_swing.clip))) == 13


def test_past_an_hour_the_stamps_are_right(timed_swing: Swing):
    hour = 3_600_000_000
    Clip.objects.update(duration_us=hour + 9_000_000)
    Swing.objects.update(begin_us=hour + 1_500, top_us=None, strike_us=None, finish_us=hour + 2_000)
    clip = Clip.objects.get()
    assert "01:00:00.002 --> " in chapters(clip)
    read(chapters(clip))


def test_a_clip_without_swings_has_an_empty_file_that_is_valid(timed_swing: Swing):
    timed_swing.remove()
    assert read(chapters(timed_swing.clip)) == []


def test_it_can_be_kept_as_a_file(as_coach: Client, timed_swing: Swing):
    Clip.objects.update(file_name="Schwung 7 \u2603.mov")
    answer = as_coach.get(address(timed_swing.clip) + "?download")
    assert answer["Content-Disposition"].startswith("attachment; filename*=utf-8''Schwung")
    assert answer["Content-Disposition"].endswith(".vtt")


def test_the_player_names_it_as_its_chapters(as_coach: Client, timed_swing: Swing):
    page = as_coach.get(reverse("clips:clip", args=[timed_swing.clip_id])).content.decode()
    assert 'kind="chapters"' in page
    assert address(timed_swing.clip) in page


def test_the_student_of_a_posted_lesson_has_it_too(as_student: Client, timed_swing: Swing):
    assert as_student.get(address(timed_swing.clip)).status_code == 200


@pytest.mark.parametrize("who", ["as_other_coach", "as_other_student", "as_guardian"])
def test_it_refuses_strangers(who: str, request: pytest.FixtureRequest, timed_swing: Swing):
    client = request.getfixturevalue(who)
    assert client.get(address(timed_swing.clip)).status_code == 404


def test_a_clip_that_is_not_ready_has_none(as_coach: Client, lesson: Lesson):
    clip = factories.ClipFactory(lesson=lesson)
    assert as_coach.get(address(clip)).status_code == 404


def test_it_sends_the_signed_out_to_sign_in(as_nobody: Client, timed_swing: Swing):
    assert as_nobody.get(address(timed_swing.clip)).status_code == 302


def test_it_refuses_another_method(as_coach: Client, timed_swing: Swing):
    assert as_coach.post(address(timed_swing.clip)).status_code == 405
