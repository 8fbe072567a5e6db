"""A check-in clip: sent by the student, looked at and drawn on by the coach, sent back."""

from __future__ import annotations

import pytest
from django.urls import reverse

from lessons.clips import tasks
from lessons.clips.models import Clip
from lessons.clips.service import take_still
from lessons.questions.check_ins import take_check_in
from lessons.questions.models import Message, Thread
from lessons.students.models import Guardian
from portal.files.kinds import Refused
from portal.files.uploads import begin_upload
from portal.mail.models import Letter
from tests import factories
from tests.clips.conftest import no_worker, swing_file, upload_of  # noqa: F401 - fixtures
from tests.conftest import signed_in
from tests.questions.conftest import VIDEO, words


@pytest.fixture
def url(student):
    return reverse("questions:check_in", args=[student.pk])


@pytest.fixture
def send(no_worker):  # noqa: F811
    def sent(by, student, data=VIDEO, **metadata):
        metadata = {"student": str(student.pk), **metadata}
        return Clip.objects.get(upload=upload_of(by, data, kind="check-in", **metadata))

    return sent


def test_it_becomes_a_clip_of_the_coach_in_a_thread_of_its_own(
    send,
    student,
    coach,
    posted_lesson,
    no_worker,  # noqa: F811
    django_capture_on_commit_callbacks,
):
    with django_capture_on_commit_callbacks(execute=True):
        clip = send(student.user, student, view="down-the-line", text="From behind")
    assert (clip.lesson, clip.coach, clip.view) == (None, coach, "down-the-line")
    assert no_worker == [clip.pk]
    message = Message.objects.get()
    thread = message.thread
    assert (thread.about, thread.lesson, message.text) == ("check-in", posted_lesson, "From behind")
    assert clip.upload.result == thread.get_absolute_url()
    letter = Letter.objects.get()
    assert (letter.to, letter.subject) == (coach.email, f"{student.name} sent a clip")


def test_it_goes_into_the_thread_it_answers(send, student, thread):
    send(student.user, student, thread=str(thread.pk))
    assert Thread.objects.get().messages.count() == 2


def test_student_guardian_and_coach_see_it_and_nobody_else(send, guardian, coach, other_coach):
    Guardian.objects.filter(pk=guardian.pk).update(consented_at=guardian.student.created_at)
    junior = guardian.student
    clip = send(junior.user, junior)
    stranger = factories.StudentFactory(coach=coach)
    for user in (junior.user, guardian.user, coach):
        assert Clip.objects.visible_to(user).filter(pk=clip.pk).exists()
    for user in (stranger.user, other_coach):
        assert not Clip.objects.visible_to(user).filter(pk=clip.pk).exists()


def test_a_junior_without_consent_can_not_send_one(guardian, no_worker):  # noqa: F811
    junior = guardian.student
    for user in (junior.user, guardian.user):
        with pytest.raises(Refused, match="no guardian's consent is on record"):
            begin_upload(user, 9, {"kind": "check-in", "student": str(junior.pk)})
        page = signed_in(user).get(reverse("questions:check_in", args=[junior.pk]))
        assert "no guardian's consent" in page.content.decode().replace("&#x27;", "'")
        assert "<check-in" not in page.content.decode()


def test_a_consent_withdrawn_while_it_is_sent_refuses_it(guardian, no_worker, monkeypatch):  # noqa: F811
    Guardian.objects.filter(pk=guardian.pk).update(consented_at=guardian.student.created_at)
    junior = guardian.student
    upload = begin_upload(junior.user, len(VIDEO), {"kind": "check-in", "student": str(junior.pk)})
    Guardian.objects.filter(pk=guardian.pk).update(withdrawn_at=guardian.student.created_at)
    with pytest.raises(Refused, match="no guardian's consent"):
        take_check_in(upload)
    assert not Clip.objects.exists()


@pytest.mark.parametrize(
    ("metadata", "sentence"),
    [
        ({"student": "0"}, "You can't send a clip here"),
        ({"student": "x"}, "You can't send a clip here"),
        ({"thread": "999999"}, "That question is not there any more"),
        ({"view": "above"}, "The view is face-on"),
        ({"text": "x" * 501}, "Shorten the words to 500 letters"),
    ],
)
def test_what_it_can_not_take_is_said(student, metadata, sentence):
    said = {"kind": "check-in", "student": str(student.pk), **metadata}
    with pytest.raises(Refused, match=sentence):
        begin_upload(student.user, 9, said)


def test_a_coach_and_another_student_can_not_send_for_a_student(student, coach, other_student):
    for user in (coach, other_student.user):
        with pytest.raises(Refused, match="You can't send a clip here"):
            begin_upload(user, 9, {"kind": "check-in", "student": str(student.pk)})


def test_the_page_is_the_students_own(
    as_student, as_coach, as_other_student, as_nobody, url, student, thread, other_student
):
    assert "Film now" in as_student.get(url).content.decode()
    assert as_student.get(f"{url}?thread={thread.pk}").status_code == 200
    assert as_student.get(f"{url}?thread=999999").status_code == 404
    assert as_coach.get(url).status_code == 404
    assert as_other_student.get(url).status_code == 404
    assert as_nobody.get(url).status_code == 302
    assert as_student.post(url).status_code == 405


def test_the_whole_way_of_a_check_in(send, student, as_student, as_coach, swing_file):  # noqa: F811
    """Sent, prepared by the real ffmpeg, a still taken and drawn on, sent back, and seen."""
    clip = send(student.user, student, swing_file.read_bytes())
    thread = Thread.objects.get()
    tasks.prepare(clip.pk)
    page = as_coach.get(thread.get_absolute_url()).content.decode()
    player = reverse("clips:clip", args=[clip.pk])
    assert player in page
    shown = as_coach.get(player).content.decode()
    assert f"Check-in of {student.name}" in shown
    assert thread.get_absolute_url() in shown
    clip.refresh_from_db()
    still = take_still(clip, 200_000, "P4")
    tasks.pull(still.pk)
    still.refresh_from_db()
    assert still.is_ready, still.reason
    board_url = reverse("marks:still", args=[still.pk])
    board = as_coach.get(board_url).content.decode()
    assert "Send the picture back" in board
    assert "Put in the recap" not in board
    line = {"id": "a1", "kind": "line", "points": [[10, 10], [100, 90]], "colour": "#0072B2"}
    kept = as_coach.put(
        reverse("marks:marks", args=[still.pk]),
        {"version": 0, "marks": [line]},
        content_type="application/json",
    )
    assert kept.status_code == 200, kept.content
    reply_url = reverse("questions:reply", args=[thread.pk])
    as_coach.post(reply_url, words("The trail hip stays.", still=still.pk))
    seen = as_student.get(thread.get_absolute_url()).content.decode()
    assert reverse("clips:picture", args=[still.pk]) in seen
    assert '<svg class="marks"' in seen
    assert as_student.get(reverse("clips:picture", args=[still.pk])).status_code == 200
    large = as_student.get(board_url).content.decode()
    assert "Back to the thread" in large
    assert as_student.get(reverse("clips:file", args=[clip.pk, "original"])).status_code == 404
