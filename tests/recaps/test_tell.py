"""A letter about a change after posting, when the coach wants one."""

from __future__ import annotations

import pytest
from django.urls import reverse
from django.utils import timezone

from lessons.recaps.models import Recap
from lessons.recaps.posting import post_recap
from portal.mail.models import Letter


@pytest.fixture
def url(lesson):
    return reverse("recaps:tell", args=[lesson.pk])


@pytest.fixture
def posted(recap, lesson, coach):
    """A posted recap whose first letters are gone."""
    Recap.objects.filter(pk=recap.pk).update(main_point="Turn")
    post_recap(lesson, coach)
    Letter.objects.all().delete()
    return recap


@pytest.fixture
def changed(posted):
    Recap.objects.filter(pk=posted.pk).update(edited_at=timezone.now(), main_point="Changed")
    return posted


def panel(client, lesson):
    return client.get(reverse("recaps:post", args=[lesson.pk])).content.decode()


def test_it_writes_of_a_change_once(as_coach, url, changed, lesson):
    assert "Write to them about the change" in panel(as_coach, lesson)
    as_coach.post(url)
    as_coach.post(url)
    letter = Letter.objects.get()
    assert letter.subject.startswith("Changed: your lesson on")
    assert "The main point now: Changed" in letter.text
    assert "Write to them about the change" not in panel(as_coach, lesson)


def test_the_next_change_can_be_told_again(as_coach, url, changed):
    as_coach.post(url)
    Recap.objects.filter(pk=changed.pk).update(edited_at=timezone.now())
    as_coach.post(url)
    assert Letter.objects.count() == 2


def test_there_is_nothing_to_tell_without_a_change(as_coach, url, posted):
    page = as_coach.post(url, follow=True).content.decode()
    assert "There is no change to tell of." in page
    assert not Letter.objects.exists()


def test_only_the_lessons_coach_tells(as_other_coach, as_student, as_nobody, url, changed):
    assert as_other_coach.post(url).status_code == 404
    assert as_student.post(url).status_code == 404
    assert as_nobody.post(url).status_code == 302
    assert not Letter.objects.exists()


def test_it_rejects_get(as_coach, url):
    assert as_coach.get(url).status_code == 405
