"""What a coach changes about a clip: edit, rate, remove, restore, cancel, again."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from lessons.clips.models import Clip, Cut, SwingSearch
from lessons.visits.models import Lesson
from tests import factories

FIELDS = {"part": "end", "view": "down-the-line", "club": "driver"}
STAGE = {"HX-Request": "true", "HX-Target": "stage"}
SHELF = {"HX-Request": "true", "HX-Target": "shelf"}
SURE = {"sure": "1"}  # the student can play it: its coach is asked first, see test_removing
VIEWS = ("edit", "remove", "restore", "again", "cancel", "rate")


@pytest.fixture
def clip(posted_lesson: Lesson) -> Clip:
    return factories.ClipFactory(lesson=posted_lesson, ready=True)


def address(view: str, clip: Clip) -> str:
    return reverse(f"clips:{view}", args=[clip.pk])


def test_edit_changes_part_view_and_club(as_coach: Client, clip: Clip):
    answer = as_coach.post(address("edit", clip), FIELDS)
    clip.refresh_from_db()
    assert (clip.part, clip.view, clip.club) == ("end", "down-the-line", "driver")
    assert answer["Location"] == address("clip", clip)


def test_edit_by_htmx_answers_with_the_stage_and_tells_the_shelf(as_coach: Client, clip: Clip):
    answer = as_coach.post(address("edit", clip), FIELDS, headers=STAGE)
    assert answer["HX-Trigger"] == "shelf-changed"
    assert "Saved." in answer.content.decode()


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"part": "later"}, "start, middle or end"),
        ({"view": "above"}, "face-on, down-the-line or other"),
        ({"club": "x" * 41}, "40 letters"),
    ],
)
def test_edit_says_what_is_wrong(as_coach: Client, clip: Clip, change: dict[str, str], words: str):
    answer = as_coach.post(address("edit", clip), {**FIELDS, **change}, headers=STAGE)
    assert answer.status_code == 422
    assert words in answer.content.decode()
    clip.refresh_from_db()
    assert clip.part == "start"


def test_edit_leaves_a_worker_its_lease(as_coach: Client, posted_lesson: Lesson):
    clip = factories.ClipFactory(lesson=posted_lesson)
    token = Clip.claim(clip.pk)
    as_coach.post(address("edit", clip), FIELDS)
    assert Clip.settle(clip.pk, token, Clip.State.READY)


def test_remove_takes_the_clip_off_and_the_shelf_offers_undo(as_coach: Client, clip: Clip):
    answer = as_coach.post(address("remove", clip), SURE, follow=True)
    page = answer.content.decode()
    assert address("restore", clip) in page
    assert f'id="clip-{clip.pk}"' not in page
    assert not Clip.objects.visible_to(clip.coach).exists()


def test_remove_stops_the_preparation_and_restore_takes_it_up_again(
    as_coach: Client,
    posted_lesson: Lesson,
    no_worker: list[int],
    django_capture_on_commit_callbacks,
):
    clip = factories.ClipFactory(lesson=posted_lesson)
    token = Clip.claim(clip.pk)
    as_coach.post(address("remove", clip))
    clip.refresh_from_db()
    assert clip.is_cancelled
    assert not Clip.settle(clip.pk, token, Clip.State.READY)
    assert Clip.claim(clip.pk) is None
    with django_capture_on_commit_callbacks(execute=True):
        as_coach.post(address("restore", clip))
    clip.refresh_from_db()
    assert (clip.state, clip.removed_at) == (Clip.State.RECEIVED, None)
    assert no_worker == [clip.pk]


def test_restore_leaves_a_clip_cancelled_that_was_so_before(
    as_coach: Client, posted_lesson: Lesson
):
    clip = factories.ClipFactory(lesson=posted_lesson)
    clip.cancel()
    as_coach.post(address("remove", clip))
    as_coach.post(address("restore", clip))
    clip.refresh_from_db()
    assert clip.is_cancelled
    assert "Prepare again" in as_coach.get(address("clip", clip)).content.decode()


def test_remove_stops_cuts_and_the_search_and_restore_takes_them_up_again(
    as_coach: Client, clip: Clip, no_worker: list[int]
):
    cut = factories.CutFactory(clip=clip)
    search = SwingSearch.objects.create(clip=clip)
    tokens = Cut.claim(cut.pk), SwingSearch.claim(search.pk)
    as_coach.post(address("remove", clip), SURE)
    assert not Cut.extend(cut.pk, tokens[0])
    assert not SwingSearch.extend(search.pk, tokens[1])
    as_coach.post(address("restore", clip))
    cut.refresh_from_db()
    search.refresh_from_db()
    assert (cut.state, search.state) == (Cut.State.WANTED, SwingSearch.State.WANTED)


def test_remove_leaves_the_files(as_coach: Client, ready_clip: Clip):
    as_coach.post(address("remove", ready_clip))
    ready_clip.refresh_from_db()
    assert ready_clip.original.size
    assert ready_clip.watch.size


def test_remove_of_a_library_clip_leads_home(as_coach: Client, clip: Clip):
    Clip.objects.filter(pk=clip.pk).update(lesson=None)
    assert as_coach.post(address("remove", clip))["Location"] == reverse("home")


def test_restore_brings_it_back(as_coach: Client, clip: Clip):
    clip.remove()
    page = as_coach.post(address("restore", clip), headers=SHELF).content.decode()
    assert f'id="clip-{clip.pk}"' in page
    assert Clip.objects.visible_to(clip.coach).exists()


def test_restore_without_htmx_leads_to_the_clip(as_coach: Client, clip: Clip):
    clip.remove()
    assert as_coach.post(address("restore", clip))["Location"] == address("clip", clip)


def test_again_sends_a_rejected_clip_with_all_its_attempts(
    as_coach: Client, clip: Clip, no_worker: list[int], django_capture_on_commit_callbacks
):
    Clip.objects.filter(pk=clip.pk).update(
        state=Clip.State.REJECTED, reason="No room.", may_pass_later=True, attempts=3
    )
    with django_capture_on_commit_callbacks(execute=True):
        as_coach.post(address("again", clip))
    clip.refresh_from_db()
    assert (clip.state, clip.attempts, clip.reason) == (Clip.State.RECEIVED, 0, "")
    assert no_worker == [clip.pk]


def test_again_is_refused_where_it_cannot_help(
    as_coach: Client, clip: Clip, no_worker: list[int], django_capture_on_commit_callbacks
):
    Clip.objects.filter(pk=clip.pk).update(state=Clip.State.REJECTED, reason="A photo.")
    with django_capture_on_commit_callbacks(execute=True):
        answer = as_coach.post(address("again", clip), follow=True)
    clip.refresh_from_db()
    assert clip.is_rejected
    assert not no_worker
    assert address("again", clip) not in answer.content.decode()


def test_cancel_takes_the_workers_lease_and_offers_to_prepare_again(
    as_coach: Client, posted_lesson: Lesson
):
    clip = factories.ClipFactory(lesson=posted_lesson)
    token = Clip.claim(clip.pk)
    page = as_coach.post(address("cancel", clip), follow=True).content.decode()
    assert "Cancelled" in page
    assert "Prepare again" in page
    assert not Clip.extend(clip.pk, token)
    assert not Clip.settle(clip.pk, token, Clip.State.READY)
    as_coach.post(address("again", clip))
    clip.refresh_from_db()
    assert clip.state == Clip.State.RECEIVED


def test_cancel_leaves_a_ready_clip_alone(as_coach: Client, clip: Clip):
    assert (
        "nothing left to stop"
        in as_coach.post(address("cancel", clip), follow=True).content.decode()
    )
    clip.refresh_from_db()
    assert clip.is_ready


def test_rate_makes_every_time_real(as_coach: Client, clip: Clip):
    Clip.objects.filter(pk=clip.pk).update(frame_us=33_333)
    still = factories.StillFactory(clip=clip, time_us=800_000)
    page = as_coach.post(address("rate", clip), {"filmed_hz": "240"}, headers=STAGE)
    clip.refresh_from_db()
    still.refresh_from_db()
    assert clip.filmed_hz == 240
    assert clip.slowdown == pytest.approx(8, abs=0.001)
    assert still.time_ms == 100
    assert "Filmed at 240 frames a second" in page.content.decode()
    as_coach.post(address("rate", clip), {"filmed_hz": ""})
    clip.refresh_from_db()
    assert clip.slowdown == 1


@pytest.mark.parametrize(
    ("rate", "words"), [("24", "30 frames a second"), ("9000", "up to 2000"), ("fast", "like 240")]
)
def test_rate_says_what_is_wrong(as_coach: Client, clip: Clip, rate: str, words: str):
    Clip.objects.filter(pk=clip.pk).update(frame_us=33_333)
    answer = as_coach.post(address("rate", clip), {"filmed_hz": rate}, headers=STAGE)
    assert answer.status_code == 422
    assert words in answer.content.decode()
    clip.refresh_from_db()
    assert clip.filmed_hz is None


def test_again_leaves_a_ready_clip_alone(as_coach: Client, clip: Clip, no_worker: list[int]):
    answer = as_coach.post(address("again", clip), follow=True)
    clip.refresh_from_db()
    assert clip.is_ready
    assert not no_worker
    assert "needs no second try" in answer.content.decode()


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize("who", ["as_other_coach", "as_student", "as_guardian"])
def test_they_refuse_all_but_the_coach(
    view: str, who: str, request: pytest.FixtureRequest, clip: Clip
):
    before = Clip.objects.values().get(pk=clip.pk)
    answer = request.getfixturevalue(who).post(address(view, clip), FIELDS)
    assert answer.status_code == 404
    assert Clip.objects.values().get(pk=clip.pk) == before


@pytest.mark.parametrize("view", VIEWS)
def test_they_send_the_signed_out_to_sign_in(view: str, as_nobody: Client, clip: Clip):
    assert as_nobody.post(address(view, clip), FIELDS).status_code == 302


@pytest.mark.parametrize("view", VIEWS)
def test_they_refuse_another_method(view: str, as_coach: Client, clip: Clip):
    assert as_coach.get(address(view, clip)).status_code == 405
