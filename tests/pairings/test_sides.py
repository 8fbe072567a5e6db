"""How the swings of a pairing are told apart, and what is said of one that is away."""

from __future__ import annotations

import datetime

import pytest
from django.test import Client
from django.urls import reverse

from lessons.pairings.models import Pairing
from lessons.pairings.sides import sides_of
from tests import factories

pytestmark = pytest.mark.django_db


def beside(pairing: Pairing, date: str, part: str = "start") -> None:
    """One more swing in it, of a lesson on a day."""
    lesson = factories.LessonFactory(
        student=pairing.lesson.student, date=datetime.date.fromisoformat(date)
    )
    clip = factories.ClipFactory(lesson=lesson, ready=True, part=part)
    factories.PairingSideFactory(pairing=pairing, clip=clip, order=pairing.sides.count())


def test_what_tells_swings_apart_comes_first_and_is_short(pairing: Pairing):
    pairing.sides.all().delete()
    for date, part in (("2026-09-24", "start"), ("2026-11-21", "start"), ("2026-11-21", "end")):
        beside(pairing, date, part)
    shown = [side.caption for side in sides_of(pairing)]
    assert shown == ["Start, 24 Sep", "Start, 21 Nov", "End, 21 Nov"]


def test_swings_alike_are_numbered_and_other_years_named(pairing: Pairing):
    pairing.sides.all().delete()
    for date in ("2025-11-21", "2026-11-21", "2026-11-21"):
        beside(pairing, date)
    shown = [side.caption for side in sides_of(pairing)]
    assert shown == ["Start, 21 Nov 2025", "Start 1, 21 Nov 2026", "Start 2, 21 Nov 2026"]


def test_a_swing_whose_clip_was_removed_is_named(as_coach: Client, pairing: Pairing):
    gone = factories.PairingSideFactory(
        pairing=pairing, clip=factories.ClipFactory(lesson=pairing.lesson, ready=True)
    ).clip
    gone.remove()
    page = as_coach.get(reverse("pairings:pairing", args=[pairing.pk])).content.decode()
    assert "Not shown, as its clip was removed" in page
    assert f'href="{reverse("clips:clip", args=[gone.pk])}"' in page
