"""The student's lesson page, and the coach's preview of it."""

from __future__ import annotations

import datetime
import re
from pathlib import Path

import pytest
from django.contrib.staticfiles import finders
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from lessons.recaps.models import Recap, Seen
from lessons.recaps.posting import post_recap
from tests import factories
from tests.conftest import signed_in
from tests.recaps.conftest import finding, given, page, save


@pytest.fixture
def written(as_coach, lesson, recap, drill, still):
    """A full recap, not posted."""
    end = factories.StillFactory(
        clip=factories.ClipFactory(lesson=lesson, ready=True, part="end"),
        state="ready",
        position="P4",
        width_px=1280,
        height_px=720,
    )
    answer = save(
        as_coach,
        lesson,
        page(
            main_point="Turn inside the barrel",
            body="Breathe **out**.",
            findings=[
                finding(why="The knee straightens", ball="Heavy shots"),
                finding(what="Grip"),
            ],
            stills=[{"still": still.pk, "caption": "Slid"}, {"still": end.pk, "caption": "Turned"}],
            drills=[given(drill)],
        ),
    )
    assert answer.status_code == 200
    return recap


@pytest.fixture
def posted(written, lesson, coach):
    post_recap(lesson, coach)
    return written


@pytest.fixture
def url(lesson):
    return reverse("recaps:read", args=[lesson.pk])


def test_it_is_in_the_order_in_which_a_student_needs_it(as_student, url, posted):
    text = as_student.get(url).content.decode()
    order = [
        "Turn inside the barrel</h1>",
        "Sway gate",
        "<before-after",
        "The hips slide",
        "The knee straightens",
        "Heavy shots",
        "Grip",
        "<strong>out</strong>",
        'id="clips"',
    ]
    places = [text.index(words) for words in order]
    assert places == sorted(places)


def test_a_draft_is_not_there_for_student_and_stranger(
    as_student, as_other_student, as_other_coach, as_coach, url, written
):
    for client in (as_student, as_other_student, as_other_coach, as_coach):
        assert client.get(url).status_code == 404
    assert not Seen.objects.exists()


def test_only_the_lessons_coach_has_a_preview(
    as_coach, as_student, as_other_coach, as_nobody, url, posted
):
    preview = f"{url}?preview=1"
    assert as_coach.get(preview).status_code == 200
    assert as_student.get(preview).status_code == 404
    assert as_other_coach.get(preview).status_code == 404
    assert as_nobody.get(preview).status_code == 302


def test_others_do_not_read_it(as_other_student, as_other_coach, as_nobody, url, posted):
    assert as_other_student.get(url).status_code == 404
    assert as_other_coach.get(url).status_code == 404
    assert as_nobody.get(url).status_code == 302


def main_of(response):
    """The page's main part; buttons and questions are the student's alone, so they are cut."""
    text = response.content.decode()
    text = text[text.index("<main") : text.index("</main>")]
    practice = r'<section class="practice".*(?=<section class="part" aria-labelledby="stills")'
    questions = r"<link [^>]*questions\.css.*?</section>"
    for own in (practice, questions):
        text = re.sub(own, "", text, flags=re.DOTALL)
    return " ".join(text.split())


def test_the_preview_is_what_the_student_reads_but_for_the_note(as_coach, as_student, url, posted):
    preview = main_of(as_coach.get(f"{url}?preview=1"))
    note = re.search(r'<p class="notice preview-note small">.*?</p>', preview)
    assert "sees this" in note.group()
    assert preview.replace(note.group() + " ", "") == main_of(as_student.get(url))


def test_the_preview_shows_the_drills_and_has_no_form(as_coach, url, posted):
    text = as_coach.get(f"{url}?preview=1").content.decode()
    assert "Sway gate" in text
    assert "Done today" in text
    assert "<form" not in text


def test_the_preview_and_the_coach_are_not_noted_as_seen(as_coach, url, posted):
    assert as_coach.get(f"{url}?preview=1").status_code == 200
    assert as_coach.get(url).status_code == 200
    assert not Seen.objects.exists()


def test_it_notes_who_has_seen_it_first_and_last(as_student, student, url, posted, time_machine):
    now = timezone.now()
    time_machine.move_to(now, tick=False)
    as_student.get(url)
    time_machine.move_to(now + datetime.timedelta(hours=3), tick=False)
    as_student.get(url)
    seen = Seen.objects.get()
    assert seen.user == student.user
    assert seen.last_at - seen.first_at == datetime.timedelta(hours=3)


def test_the_guardian_of_a_junior_reads_it_and_is_noted(guardian):
    lesson = factories.LessonFactory(student=guardian.student, posted=True)
    recap = factories.RecapFactory(lesson=lesson)
    url = reverse("recaps:read", args=[lesson.pk])
    assert signed_in(guardian.user).get(url).status_code == 200
    assert recap.seen.get().user == guardian.user


def test_a_change_after_posting_is_shown_as_edited(as_student, as_coach, lesson, url, posted):
    assert "Edited on" not in as_student.get(url).content.decode()
    save(as_coach, lesson, page(version=1, main_point="Turn, and wait"))
    text = as_student.get(url).content.decode()
    assert "Edited on" in text
    assert "Turn, and wait" in text


def test_earlier_lessons_follow_with_their_main_points(as_student, student, url, posted, lesson):
    earlier = factories.LessonFactory(
        student=student, posted=True, date=lesson.date - datetime.timedelta(days=30)
    )
    factories.RecapFactory(lesson=earlier, main_point="Keep the head still")
    factories.LessonFactory(
        student=student, theme="Secret", date=lesson.date - datetime.timedelta(days=9)
    )
    text = as_student.get(url).content.decode()
    assert "Keep the head still" in text
    assert reverse("recaps:read", args=[earlier.pk]) in text
    assert "Secret" not in text
    before = as_student.get(reverse("recaps:read", args=[earlier.pk])).content.decode()
    assert "There is a newer lesson" in before


def test_what_is_typed_stays_text(as_student, as_coach, lesson, url, posted):
    evil = "<script>alert(1)</script>"
    row = finding(what=evil, why=evil, ball=evil)
    save(as_coach, lesson, page(version=1, main_point=evil, body=evil, findings=[row]))
    assert evil not in as_student.get(url).content.decode()


def test_a_posted_lesson_without_a_recap_has_a_page(as_student, posted_lesson):
    url = reverse("recaps:read", args=[posted_lesson.pk])
    text = as_student.get(url).content.decode()
    assert posted_lesson.theme in text
    assert not Recap.objects.filter(lesson=posted_lesson).exists()


def test_a_finding_without_words_is_left_out(as_student, url, posted):
    factories.FindingFactory(recap=posted, what="", why="Nothing to see")
    assert "Nothing to see" not in as_student.get(url).content.decode()


def test_a_clip_on_its_way_is_announced(as_student, url, posted, lesson):
    factories.ClipFactory(lesson=lesson)
    assert "1 clip still being prepared" in as_student.get(url).content.decode()


def test_the_page_weighs_less_than_100_kb_before_pictures(as_student, url, posted):
    """HTML, style sheets and scripts as they lie on disk, before any compression."""
    response = as_student.get(url)
    text = response.content.decode()
    files = set(re.findall(r'(?:href|src)="/static/([^"]+\.(?:css|js))"', text))
    assert files
    weight = len(response.content) + sum(Path(finders.find(f)).stat().st_size for f in files)
    assert weight < 100_000, (weight, sorted(files))


def test_it_only_reads(as_student, url, posted):
    assert as_student.post(url).status_code == 405


def test_a_removed_still_is_gone_and_comes_back_to_its_place(
    as_student, as_coach, lesson, url, posted, still
):
    still.removed_at = timezone.now()
    still.save()
    assert "<before-after" not in as_student.get(url).content.decode()
    # A saving meanwhile does not take its place away
    stills = [{"still": s.still_id, "caption": s.caption} for s in posted.stills.current()]
    save(as_coach, lesson, page(version=1, main_point="Turn", stills=stills))
    still.removed_at = None
    still.save()
    assert posted.stills.first().still_id == still.pk
    assert "<before-after" in as_student.get(url).content.decode()


def test_a_still_that_could_not_be_taken_is_left_out(as_student, url, posted, still):
    type(still).objects.filter(pk=still.pk).update(state="failed", reason="Broken")
    text = as_student.get(url).content.decode()
    assert "<before-after" not in text
    assert "could not be taken" not in text


def test_more_stills_and_findings_ask_no_more_of_the_database(
    as_student, url, posted, still, django_assert_max_num_queries
):
    as_student.get(url)
    with CaptureQueriesContext(connection) as few:
        as_student.get(url)
    for number in range(5):
        more = factories.StillFactory(clip=still.clip, state="ready")
        posted.stills.create(still=more, order=number)
        factories.FindingFactory(recap=posted)
    with django_assert_max_num_queries(len(few)):
        as_student.get(url)
