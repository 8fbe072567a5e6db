"""What is asked of an upload before it becomes a clip."""

from __future__ import annotations

import io
from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from lessons.clips.intake import check_clip, check_video, receive_clip
from lessons.clips.models import Clip
from lessons.students.models import Guardian, Student
from lessons.visits.models import Lesson
from portal.accounts.models import User
from portal.files.kinds import Refused
from portal.files.tus import format_metadata
from portal.files.uploads import begin_upload, take_piece
from tests import factories
from tests.clips.conftest import upload_of

VIDEO = b"\0" * 1000


def test_a_finished_upload_becomes_a_clip_of_the_lesson(
    lesson: Lesson, send_in: Callable[..., Clip], coach: User
):
    clip = send_in(
        lesson, VIDEO, part="end", view="down-the-line", club=" 7-iron ", filename="IMG_0042.MOV"
    )
    assert (clip.lesson, clip.coach, clip.state) == (lesson, coach, Clip.State.RECEIVED)
    assert (clip.part, clip.view, clip.club) == ("end", "down-the-line", "7-iron")
    assert clip.file_name == "IMG_0042.MOV"
    assert clip.upload.result == reverse("clips:clip", args=[clip.pk])


def test_a_finished_upload_is_sent_to_a_worker_after_the_commit(
    lesson: Lesson,
    send_in: Callable[..., Clip],
    no_worker: list[int],
    django_capture_on_commit_callbacks,
):
    with django_capture_on_commit_callbacks(execute=True):
        clip = send_in(lesson, VIDEO)
    assert no_worker == [clip.pk]


def test_without_a_lesson_the_clip_is_the_coachs_own(coach: User, lesson: Lesson, no_worker):
    upload = upload_of(coach, VIDEO, lesson=str(lesson.pk))
    Clip.objects.all().delete()
    clip = receive_clip(upload)
    assert (clip.lesson, clip.coach) == (None, coach)


def test_a_junior_without_consent_is_refused_with_what_to_do(junior: Student, coach: User):
    lesson = factories.LessonFactory(student=junior)
    with pytest.raises(Refused, match=f"Record it on {junior.name}'s page"):
        check_clip(coach, {"lesson": str(lesson.pk)}, 1000)


def test_a_junior_with_consent_may_be_filmed(junior: Student, coach: User, no_worker):
    factories.GuardianFactory(student=junior, consents=True)
    lesson = factories.LessonFactory(student=junior)
    upload_of(coach, VIDEO, lesson=str(lesson.pk))
    assert lesson.clips.count() == 1


def test_consent_withdrawn_while_the_bytes_come_in_is_refused_too(junior: Student, coach: User):
    factories.GuardianFactory(student=junior, consents=True)
    lesson = factories.LessonFactory(student=junior)
    metadata = {"kind": "clip", "lesson": str(lesson.pk)}
    upload = begin_upload(coach, len(VIDEO), metadata)
    Guardian.objects.update(withdrawn_at=timezone.now())
    with pytest.raises(Refused, match="no guardian's consent"):
        take_piece(upload, 0, io.BytesIO(VIDEO), announced=len(VIDEO), checksum=None)
    assert not Clip.objects.exists()


@pytest.mark.parametrize("key", ["", "0", "x", "9" * 30, "-1"])
def test_an_unknown_lesson_is_refused(coach: User, key: str):
    with pytest.raises(Refused, match="not there any more"):
        check_clip(coach, {"lesson": key}, 1000)


def test_another_coachs_lesson_is_refused(other_coach: User, lesson: Lesson):
    with pytest.raises(Refused, match="not there any more"):
        check_clip(other_coach, {"lesson": str(lesson.pk)}, 1000)


def test_the_students_own_lesson_is_refused_to_the_student(student: Student, posted_lesson: Lesson):
    with pytest.raises(Refused):
        check_clip(student.user, {"lesson": str(posted_lesson.pk)}, 1000)


@pytest.mark.parametrize(
    ("metadata", "length", "words"),
    [
        ({}, 0, "empty"),
        ({}, 10**15, "Trim the video"),
        ({"view": "from above"}, 10, "face-on, down-the-line or other"),
        ({"club": "x" * 41}, 10, "40 letters"),
    ],
)
def test_it_says_what_is_wrong_with_a_clip(metadata: dict[str, str], length: int, words: str):
    with pytest.raises(Refused, match=words):
        check_video(metadata, length)


def test_a_wrong_part_is_refused(coach: User, lesson: Lesson):
    with pytest.raises(Refused, match="start, middle or end"):
        check_clip(coach, {"lesson": str(lesson.pk), "part": "later"}, 10)


def test_a_browser_reads_the_sentence(as_coach: Client, junior: Student):
    lesson = factories.LessonFactory(student=junior)
    answer = as_coach.post(
        reverse("files:uploads"),
        headers={
            "Tus-Resumable": "1.0.0",
            "Upload-Length": "1000",
            "Upload-Metadata": format_metadata({"kind": "clip", "lesson": str(lesson.pk)}),
        },
    )
    assert answer.status_code == 422
    assert "under 18" in answer.content.decode()
