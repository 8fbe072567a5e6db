"""One thread, and who has read how far."""

from __future__ import annotations

import uuid

import pytest
from django.urls import reverse
from django.utils import timezone

from lessons.clips.models import Still
from lessons.questions.about import Subject
from lessons.questions.models import Message, Reading
from lessons.questions.service import ask, mark_read
from lessons.questions.unread import unread_for
from tests import factories


@pytest.fixture
def url(thread):
    return thread.get_absolute_url()


def test_it_shows_the_words_and_what_they_are_about(as_coach, url, lesson_read):
    page = as_coach.get(url).content.decode()
    assert "Is this far enough?" in page
    assert f"/lessons/{lesson_read.pk}/read/" in page


def test_words_are_shown_as_text(as_coach, url, thread):
    Message.objects.update(text="<b>5 < 7</b>\nnext line")
    assert "&lt;b&gt;5 &lt; 7&lt;/b&gt;\nnext line" in as_coach.get(url).content.decode()


def test_who_opens_it_has_read_it_and_nobody_else(as_coach, url, thread, coach, student):
    assert (unread_for(coach), unread_for(student.user)) == (1, 0)
    assert 'thread-new">new' in as_coach.get(url).content.decode()
    assert unread_for(coach) == 0
    assert 'thread-new">new' not in as_coach.get(url).content.decode()
    Message.objects.create(thread=thread, by=coach, by_name=coach.name, text="Yes")
    assert (unread_for(coach), unread_for(student.user)) == (0, 1)


def test_reading_never_goes_back(thread, coach):
    first = Message.objects.get()
    Message.objects.create(thread=thread, by=thread.student.user, by_name="S", text="More")
    mark_read(thread, coach)
    Reading.objects.get(user=coach).move_to(first.pk)
    assert unread_for(coach) == 0


def test_a_removed_still_leaves_the_words(as_student, url, thread, coach, lesson_read):
    still = lesson_read.clips.get().stills.get()
    Message.objects.create(thread=thread, by=coach, by_name="C", text="Look", still=still)
    Still.objects.update(removed_at=timezone.now())
    page = as_student.get(url).content.decode()
    assert "Look" in page
    assert "The picture that stood here was removed." in page


def test_a_drill_taken_back_leads_to_the_lesson_instead(as_student, student, lesson_read):
    given = lesson_read.assignments.get()
    subject = Subject(lesson_read, given=given)
    thread = ask(subject, student.user, "How slow?", uuid.uuid4()).thread
    given_url = reverse("drills:given", args=[given.pk])
    assert given_url in as_student.get(thread.get_absolute_url()).content.decode()
    given.removed_at = timezone.now()
    given.save()
    page = as_student.get(thread.get_absolute_url()).content.decode()
    assert given_url not in page
    assert "sway gate" in page
    assert reverse("recaps:read", args=[lesson_read.pk]) in page


def test_a_clip_that_waits_says_why(as_student, url, thread, coach):
    why = "There is no room left on this site's disk."
    clip = factories.ClipFactory(lesson=None, coach=coach, state="received", reason=why)
    Message.objects.create(thread=thread, by=thread.student.user, by_name="S", clip=clip)
    assert "no room left" in as_student.get(url).content.decode()


@pytest.mark.parametrize("state", ["received", "preparing", "ready", "rejected"])
def test_a_clip_is_shown_with_its_state(as_student, url, thread, coach, state):
    reason = "No picture." if state == "rejected" else ""
    clip = factories.ClipFactory(lesson=None, coach=coach, state=state, reason=reason)
    Message.objects.create(thread=thread, by=thread.student.user, by_name="S", clip=clip)
    page = as_student.get(url).content.decode()
    expected = {"ready": "Play", "rejected": "No picture."}
    assert expected.get(state, "is being prepared") in page
    assert ("every 3s" in page) == (state in {"received", "preparing"})


def test_queries_do_not_grow_with_the_messages(
    as_coach, url, thread, django_assert_max_num_queries
):
    for n in range(30):
        Message.objects.create(thread=thread, by=thread.student.user, by_name="S", text=str(n))
    as_coach.get(url)
    with django_assert_max_num_queries(12):
        as_coach.get(url)


def test_it_is_not_there_for_others(as_other_coach, as_other_student, as_nobody, url):
    assert as_other_coach.get(url).status_code == 404
    assert as_other_student.get(url).status_code == 404
    assert as_nobody.get(url).status_code == 302


def test_it_only_reads(as_coach, url):
    assert as_coach.post(url).status_code == 405
