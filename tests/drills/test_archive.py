"""Putting a drill aside and bringing it back; taking its clip off."""

from __future__ import annotations

import pytest
from django.urls import reverse

from lessons.drills.models import Assignment, Drill
from tests import factories


@pytest.fixture
def drill(coach):
    clip = factories.ClipFactory(lesson=None, coach=coach, ready=True)
    return factories.DrillFactory(coach=coach, clip=clip)


@pytest.fixture
def url(drill):
    return reverse("drills:archive", args=[drill.pk])


def test_it_puts_aside_and_brings_back(as_coach, url, drill):
    assert as_coach.post(url).url == reverse("drills:list")
    assert not Drill.objects.current().exists()
    assert as_coach.post(url, {"back": "1"}).url == reverse("drills:drill", args=[drill.pk])
    assert Drill.objects.current().get() == drill


def test_students_keep_what_they_were_given(as_coach, url, drill, lesson):
    Assignment.of(drill, lesson=lesson).save()
    as_coach.post(url)
    assert lesson.assignments.holding().exists()


@pytest.mark.parametrize("name", ["drills:archive", "drills:drop_clip"])
def test_only_the_coach_may(as_other_coach, as_student, as_nobody, as_coach, drill, name):
    url = reverse(name, args=[drill.pk])
    assert as_other_coach.post(url).status_code == 404
    assert as_student.post(url).status_code == 404
    assert as_nobody.post(url).status_code == 302
    assert as_coach.get(url).status_code == 405
    drill.refresh_from_db()
    assert drill.archived_at is None
    assert drill.clip is not None


def test_taking_the_clip_off_leaves_it_to_those_who_were_given_it(as_coach, drill, lesson):
    given = Assignment.of(drill, lesson=lesson)
    given.save()
    as_coach.post(reverse("drills:drop_clip", args=[drill.pk]))
    drill.refresh_from_db()
    given.refresh_from_db()
    assert drill.clip is None
    assert given.clip is not None
