"""pairings:add: choosing the swings that are laid side by side."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from lessons.clips.models import Clip, Swing
from lessons.pairings.models import Pairing
from lessons.pairings.offering import offers
from lessons.questions.models import Message, Thread
from lessons.students.models import Student
from lessons.visits.models import Lesson
from tests import factories


def address(lesson: Lesson) -> str:
    return reverse("pairings:add", args=[lesson.pk])


@pytest.fixture
def swings(lesson: Lesson, earlier_lesson: Lesson) -> list[Swing]:
    """Two of this lesson's clip, one of an earlier lesson's."""
    clip = factories.ClipFactory(lesson=lesson, ready=True)
    before = factories.ClipFactory(lesson=earlier_lesson, ready=True)
    return [
        factories.SwingFactory(clip=clip),
        factories.SwingFactory(clip=clip, begin_us=2_300_000, finish_us=2_900_000),
        factories.SwingFactory(clip=before),
    ]


def keys(*swings: Swing) -> dict[str, list[str]]:
    return {"swings": [f"swing-{swing.pk}" for swing in swings]}


def test_it_offers_this_lessons_swings_first_and_then_earlier_ones(
    as_coach: Client, lesson: Lesson, swings: list[Swing]
):
    assert [offer.swing for offer in offers(lesson)] == swings
    page = as_coach.get(address(lesson)).content.decode()
    assert page.index("This lesson") < page.index(f"swing-{swings[2].pk}")
    assert "swing 1 of 2" in page


def test_a_clip_without_a_swing_is_offered_whole(lesson: Lesson):
    clip = factories.ClipFactory(lesson=lesson, ready=True)
    [offer] = offers(lesson)
    assert (offer.clip, offer.swing, offer.key) == (clip, None, f"clip-{clip.pk}")


def test_the_students_check_ins_are_offered_too(
    as_coach: Client, lesson: Lesson, other_student: Student
):
    for student in (lesson.student, other_student):
        clip = factories.ClipFactory(lesson=None, coach=student.coach, ready=True)
        thread = Thread.objects.create(student=student, about=Thread.About.CHECK_IN)
        Message.objects.create(thread=thread, by_name="S", clip=clip)
    [offer] = offers(lesson)
    assert offer.clip.check_in.thread.student == lesson.student
    factories.ClipFactory(lesson=lesson, ready=True)
    assert "Check-ins" in as_coach.get(address(lesson)).content.decode()


def test_nothing_of_another_student_is_offered(lesson: Lesson, other_student: Student):
    theirs = factories.LessonFactory(student=other_student)
    factories.SwingFactory(clip__lesson=theirs)
    assert offers(lesson) == []


@pytest.mark.parametrize("state", [Clip.State.PREPARING, Clip.State.REJECTED])
def test_a_clip_that_is_not_ready_is_not_offered(lesson: Lesson, state: str):
    factories.ClipFactory(lesson=lesson, ready=True, state=state)
    assert offers(lesson) == []


def test_removed_clips_and_swings_are_not_offered(lesson: Lesson, swings: list[Swing]):
    swings[0].remove()
    swings[2].clip.remove()
    assert [offer.swing for offer in offers(lesson)] == [swings[1]]


def test_it_lays_the_chosen_ones_side_by_side_at_impact_the_earliest_first(
    as_coach: Client, lesson: Lesson, swings: list[Swing]
):
    answer = as_coach.post(address(lesson), keys(swings[0], swings[2]))
    pairing = Pairing.objects.get()
    assert answer.url == reverse("pairings:pairing", args=[pairing.pk])
    assert (pairing.lesson, pairing.at) == (lesson, "P7")
    assert [side.swing for side in pairing.sides.all()] == [swings[2], swings[0]]


def test_every_frame_around_impact_is_asked_for(
    as_coach: Client, lesson: Lesson, swings: list[Swing]
):
    as_coach.post(address(lesson), keys(swings[0], swings[2]))
    for swing in (swings[0], swings[2]):
        assert any(cut.holds(swing.strike_us) for cut in swing.clip.cuts.all())


@pytest.mark.parametrize(
    ("count", "words"), [(0, "Choose 2 or 3 swings."), (1, "you chose 1"), (4, "you chose 4")]
)
def test_it_says_how_many_are_needed(as_coach: Client, lesson: Lesson, count: int, words: str):
    clip = factories.ClipFactory(lesson=lesson, ready=True)
    four = [
        factories.SwingFactory(clip=clip, begin_us=n * 10, finish_us=n * 10 + 5) for n in range(4)
    ]
    answer = as_coach.post(address(lesson), keys(*four[:count]))
    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert not Pairing.objects.exists()


def test_one_swing_twice_is_one_swing(as_coach: Client, lesson: Lesson, swings: list[Swing]):
    assert as_coach.post(address(lesson), keys(swings[0], swings[0])).status_code == 422


def test_it_refuses_a_swing_of_another_student(
    as_coach: Client, lesson: Lesson, swings: list[Swing], other_student: Student
):
    theirs = factories.SwingFactory(clip__lesson=factories.LessonFactory(student=other_student))
    answer = as_coach.post(address(lesson), keys(swings[0], theirs))
    assert answer.status_code == 422
    assert "Choose again" in answer.content.decode()


def test_with_one_swing_it_says_what_to_do_first(as_coach: Client, lesson: Lesson):
    factories.SwingFactory(clip__lesson=lesson)
    assert "Add another clip" in as_coach.get(address(lesson)).content.decode()


@pytest.mark.parametrize("who", ["as_other_coach", "as_student", "as_guardian"])
def test_it_refuses_all_but_the_coach(
    who: str, request: pytest.FixtureRequest, lesson: Lesson, swings: list[Swing]
):
    client = request.getfixturevalue(who)
    assert client.get(address(lesson)).status_code == 404
    assert client.post(address(lesson), keys(*swings[:2])).status_code == 404
    assert not Pairing.objects.exists()


def test_it_sends_the_signed_out_to_sign_in(as_nobody: Client, lesson: Lesson):
    assert as_nobody.post(address(lesson)).url.startswith("/accounts/login/")


def test_it_refuses_another_method(as_coach: Client, lesson: Lesson):
    assert as_coach.put(address(lesson)).status_code == 405
