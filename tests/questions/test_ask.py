"""A question at the recap, a still or a drill."""

from __future__ import annotations

import uuid

import pytest
from django.urls import reverse

from lessons.questions.about import Subject
from lessons.questions.models import Message, Thread
from lessons.questions.service import ask
from portal.mail.models import Letter
from tests import factories
from tests.conftest import signed_in
from tests.questions.conftest import words


@pytest.fixture
def url(lesson_read):
    return reverse("questions:ask", args=[lesson_read.pk])


def test_it_asks_about_the_lesson_and_writes_to_the_coach(as_student, url, coach, student):
    answer = as_student.post(url, words())
    message = Message.objects.get()
    thread = message.thread
    assert answer.url == f"/questions/{thread.pk}/#message-{message.pk}"
    assert (thread.student, thread.about, message.by) == (student, "recap", student.user)
    letter = Letter.objects.get()
    assert letter.to == coach.email
    assert letter.subject == f"{student.name} asks: Is this far enough?"
    assert f"http://testserver/questions/{thread.pk}/" in letter.text


def test_it_asks_about_a_still_and_about_a_drill(as_student, url, lesson_read):
    still = lesson_read.clips.get().stills.get()
    given = lesson_read.assignments.get()
    as_student.post(url, words("Here?", about=f"still-{still.pk}"))
    as_student.post(url, words("How slow?", about=f"drill-{given.pk}"))
    newest, first = Thread.objects.order_by("-pk")
    assert (first.about, first.still, first.title) == ("still", still, "P4 top")
    assert (newest.about, newest.given, newest.title) == ("drill", given, "sway gate")


def test_the_page_shows_what_it_is_about(as_student, url, lesson_read):
    still = lesson_read.clips.get().stills.get()
    page = as_student.get(f"{url}?about=still-{still.pk}").content.decode()
    assert reverse("clips:picture", args=[still.pk]) in page
    assert f'<option value="still-{still.pk}"\n                  selected>' in page
    assert "doctor or physiotherapist" in page


def test_sending_twice_keeps_one(as_student, url):
    sent = words()
    first = as_student.post(url, sent)
    again = as_student.post(url, sent)
    assert first.url == again.url
    assert (Thread.objects.count(), Message.objects.count(), Letter.objects.count()) == (1, 1, 1)


def test_other_words_under_the_same_id_are_not_lost(as_student, url):
    sent = words("First")
    as_student.post(url, sent)
    as_student.post(url, {**sent, "text": "Second"})
    assert set(Message.objects.values_list("text", flat=True)) == {"First", "Second"}


def test_an_id_that_another_person_used_takes_nothing_from_either(
    as_student, url, lesson_read, coach, student, thread
):
    taken = Message.objects.get().client_id
    as_student.post(url, words("Mine", client_id=str(taken)))
    assert Message.objects.get(text="Mine").client_id != taken


@pytest.mark.parametrize(
    ("sent", "sentence"),
    [
        ({"text": "  "}, "Write a word or two first."),
        ({"text": "x" * 4001}, "Shorten this to 4,000 letters; it has 4001."),
        ({"client_id": "seven"}, "Reload it; your words are kept."),
        ({"about": "still-999999"}, "not on the lesson&#x27;s page any more"),
        ({"about": "still-9999999999999999999999"}, "not on the lesson&#x27;s page any more"),
        ({"about": "nonsense"}, "not on the lesson&#x27;s page any more"),
    ],
)
def test_what_it_can_not_take_is_said_and_the_words_stay(as_student, url, sent, sentence):
    answer = as_student.post(url, words("Keep me", about="recap") | sent)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert sentence in page
    assert not Message.objects.exists()
    assert sent.get("text", "Keep me").strip()[:50] in page


def test_pictures_of_one_position_are_told_apart(as_student, url, lesson_read):
    """By the part of the lesson; two of one part by number."""
    recap = lesson_read.recap
    recap.stills.all().delete()
    for order, part in enumerate(("start", "end", "end")):
        clip = factories.ClipFactory(lesson=lesson_read, ready=True, part=part)
        still = factories.StillFactory(clip=clip, state="ready", position="P4")
        recap.stills.create(still=still, order=order)
    page = as_student.get(url).content.decode()
    for told in ("start of the lesson<", "end of the lesson (1)<", "end of the lesson (2)<"):
        assert page.count(f"Picture: P4 top, {told}") == 1


def test_a_still_of_another_lesson_is_not_there(as_student, url, other_student):
    lesson = factories.LessonFactory(student=other_student, posted=True)
    still = factories.StillFactory(clip=factories.ClipFactory(lesson=lesson, ready=True))
    assert as_student.get(f"{url}?about=still-{still.pk}").status_code == 404
    assert as_student.post(url, words(about=f"still-{still.pk}")).status_code == 422


def test_a_guardian_asks_for_a_junior(guardian):
    lesson = factories.LessonFactory(student=guardian.student, posted=True)
    client = signed_in(guardian.user)
    client.post(reverse("questions:ask", args=[lesson.pk]), words())
    message = Message.objects.get()
    assert (message.by, message.thread.student) == (guardian.user, guardian.student)
    junior = signed_in(guardian.student.user)
    assert "Is this far enough?" in junior.get(message.thread.get_absolute_url()).content.decode()


def test_it_is_not_there_for_others(as_coach, as_other_coach, as_other_student, as_nobody, url):
    for client in (as_coach, as_other_coach, as_other_student):
        assert client.get(url).status_code == 404
        assert client.post(url, words()).status_code == 404
    assert as_nobody.post(url, words()).status_code == 302
    assert not Message.objects.exists()


def test_it_is_not_there_before_the_lesson_is_posted(as_student, lesson):
    assert as_student.get(reverse("questions:ask", args=[lesson.pk])).status_code == 404


def test_it_rejects_other_methods(as_student, url):
    assert as_student.put(url).status_code == 405


def test_htmx_is_told_where_to_go(as_student, url):
    answer = as_student.post(url, words(), headers={"HX-Request": "true"})
    assert answer.status_code == 204
    assert answer["HX-Redirect"].startswith("/questions/")


def test_a_race_of_two_sendings_keeps_one(student, lesson_read, monkeypatch):
    """Both look before either has written: the second meets the first one's row."""
    client_id = uuid.uuid4()
    first = ask(Subject(lesson_read), student.user, "Once", client_id)
    monkeypatch.setattr("lessons.questions.service.kept_before", lambda *args: None)
    none = Message.objects.none()
    monkeypatch.setattr(Message.objects, "filter", lambda **k: none)
    assert ask(Subject(lesson_read), student.user, "Once", client_id) == first
    assert Thread.objects.count() == 1
