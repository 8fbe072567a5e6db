"""Posting a recap: what is missing, the letters, once."""

from __future__ import annotations

import re

import pytest
from django.conf import settings
from django.urls import reverse

from lessons.recaps.carrying import recap_of
from lessons.recaps.models import Recap
from lessons.recaps.posting import NotReadyError, check_recap, post_recap
from portal.accounts.models import User
from portal.mail.models import Letter
from portal.notices.telling import permit
from tests import factories


@pytest.fixture
def ready(recap):
    """A recap with all that it needs."""
    Recap.objects.filter(pk=recap.pk).update(main_point="Turn inside the barrel")
    factories.AssignmentFactory(lesson=recap.lesson, name="Sway gate")
    recap.refresh_from_db()
    return recap


@pytest.fixture
def url(lesson):
    return reverse("recaps:post", args=[lesson.pk])


def test_it_shows_the_lesson_and_writes_to_the_student(as_coach, as_student, lesson, ready, url):
    read = reverse("recaps:read", args=[lesson.pk])
    assert as_student.get(read).status_code == 404
    response = as_coach.post(url)
    assert response.url == reverse("visits:desk", args=[lesson.pk])
    assert as_student.get(read).status_code == 200
    letter = Letter.objects.get()
    assert letter.to == lesson.student.user.email
    assert "Turn inside the barrel" in letter.subject


def test_the_letter_says_the_point_the_drills_and_until_when(lesson, ready, coach):
    post_recap(lesson, coach)
    text = Letter.objects.get().text
    until = f"{lesson.next_visit:%A} {lesson.next_visit.day} {lesson.next_visit:%B}"
    for words in (
        f"Hello {lesson.student.name}",
        str(coach),
        "The main point: Turn inside the barrel",
        f"To practise until {until}:",
        "- Sway gate: 3 x 10, 5 days a week",
    ):
        assert words in text


def test_the_link_in_the_letter_signs_in_and_leads_to_the_lesson(as_nobody, lesson, ready, coach):
    post_recap(lesson, coach)
    link, _ = re.findall(rf"{re.escape(settings.SITE_URL)}(\S+)", Letter.objects.get().text)
    page = as_nobody.get(link, follow=True)
    if page.request["PATH_INFO"] != reverse("recaps:read", args=[lesson.pk]):
        # The page behind the link asks for one tap, so that a mail scanner uses nothing up
        page = as_nobody.post(link, follow=True)
    assert page.request["PATH_INFO"] == reverse("recaps:read", args=[lesson.pk])
    assert "Turn inside the barrel" in page.content.decode()


def test_a_letter_writes_names_as_they_are(lesson, ready, coach):
    User.objects.filter(pk=lesson.student.user_id).update(name="Ann O'Neil & son")
    Recap.objects.filter(pk=ready.pk).update(main_point="Don't rush: 1 & 2 < 3")
    post_recap(lesson, coach)
    letter = Letter.objects.get()
    assert "Ann O'Neil & son" in letter.text
    assert "Don't rush: 1 & 2 < 3" in letter.subject


def test_the_longest_main_point_fits_the_letters_subject(lesson, ready, coach):
    Recap.objects.filter(pk=ready.pk).update(main_point="turn " * 40)
    post_recap(lesson, coach)
    letter = Letter.objects.get()
    letter.full_clean(exclude=["settled_at"])
    assert ("turn " * 40).strip() in letter.text


def test_posting_twice_writes_once(as_coach, url, ready, lesson):
    as_coach.post(url)
    lesson.refresh_from_db()
    first = lesson.posted_at
    page = as_coach.post(url, follow=True).content.decode()
    lesson.refresh_from_db()
    assert lesson.posted_at == first
    assert Letter.objects.count() == 1
    assert "was posted before" in page


def test_a_juniors_guardian_gets_a_letter_too(guardian, coach):
    lesson = factories.LessonFactory(student=guardian.student)
    recap = recap_of(lesson)
    Recap.objects.filter(pk=recap.pk).update(main_point="One, two, three")
    permit(guardian.student.user, guardian.user, allowed=True)
    post_recap(lesson, coach)
    letters = {letter.to: letter for letter in Letter.objects.all()}
    assert set(letters) == {guardian.student.user.email, guardian.user.email}
    assert f"{guardian.student}'s lesson" in letters[guardian.user.email].subject
    assert "Your lesson" in letters[guardian.student.user.email].subject


def test_a_junior_gets_none_before_a_guardian_has_said_yes(guardian, coach):
    lesson = factories.LessonFactory(student=guardian.student)
    Recap.objects.filter(pk=recap_of(lesson).pk).update(main_point="One, two, three")
    post_recap(lesson, coach)
    assert Letter.objects.get().to == guardian.user.email


def test_a_grown_ups_guardian_of_old_gets_none(student, lesson, ready, coach):
    factories.GuardianFactory(student=student)
    post_recap(lesson, coach)
    assert Letter.objects.get().to == student.user.email


def test_nobody_without_an_account_is_written_to_and_the_coach_is_told(
    as_coach, url, ready, student
):
    student.user = None
    student.save()
    page = as_coach.get(url).content.decode()
    assert f"{student.name} has not signed in yet, so no letter goes to them." in page
    as_coach.post(url)
    assert not Letter.objects.exists()


def test_without_a_main_point_it_is_not_posted(as_coach, lesson, recap, url, coach):
    page = as_coach.post(url, follow=True).content.decode()
    assert "Not posted. The main point is missing" in page
    lesson.refresh_from_db()
    assert not lesson.is_posted
    assert not Letter.objects.exists()
    with pytest.raises(NotReadyError):
        post_recap(lesson, coach)


def test_a_finding_without_words_holds_it_back(recap):
    factories.FindingFactory(recap=recap, what="", why="Late")
    assert "1 finding has no words for what you saw." in check_recap(recap).missing


def test_it_warns_of_what_is_worth_a_second_look(recap, still):
    factories.ClipFactory(lesson=recap.lesson)
    recap.stills.create(still=still)
    type(still).objects.filter(pk=still.pk).update(state="pulling")
    type(recap.lesson).objects.filter(pk=recap.lesson.pk).update(next_visit=None)
    recap.lesson.refresh_from_db()
    warnings = " ".join(check_recap(recap).warnings)
    for words in (
        "No drill is given",
        "The next visit has no date",
        "1 still is still being pulled",
        "1 clip is not ready yet",
    ):
        assert words in warnings
    factories.AssignmentFactory(lesson=recap.lesson, name="Gate", sets=None, reps=None)
    warnings = " ".join(check_recap(recap).warnings)
    assert "Gate has no dose." in warnings
    assert "No drill is given" not in warnings


def test_it_says_who_has_seen_it(as_coach, as_student, url, ready, lesson, student):
    as_coach.post(url)
    assert "not seen yet" in as_coach.get(url).content.decode()
    as_student.get(reverse("recaps:read", args=[lesson.pk]))
    page = as_coach.get(url).content.decode()
    assert "not seen yet" not in page
    assert f"<span>{student.user.name}</span>" in page


def test_it_refuses_everybody_else(as_other_coach, as_student, as_nobody, url, ready, lesson):
    assert as_other_coach.post(url).status_code == 404
    assert as_student.post(url).status_code == 404
    assert as_nobody.post(url).status_code == 302
    assert as_other_coach.get(url).status_code == 404
    lesson.refresh_from_db()
    assert not lesson.is_posted


def test_it_rejects_put(as_coach, url):
    assert as_coach.put(url).status_code == 405
