"""An upload of the kind 'drill-clip' becomes the clip of a drill."""

from __future__ import annotations

import datetime

import pytest
from django.conf import settings
from django.urls import reverse
from django.utils import timezone

from lessons.drills.clips import check_drill_clip, take_drill_clip
from portal.files.kinds import Refused, kind_named
from portal.files.models import Upload
from tests import factories


@pytest.fixture
def drill(coach):
    return factories.DrillFactory(coach=coach)


def metadata(drill):
    return {"kind": "drill-clip", "drill": str(drill.pk), "filename": "gate.mov"}


def test_the_kind_is_known_to_the_uploads():
    assert kind_named("drill-clip").finish is take_drill_clip


def test_a_finished_upload_becomes_the_drills_clip(coach, drill):
    upload = Upload.objects.create(
        owner=coach,
        kind="drill-clip",
        metadata=metadata(drill),
        length=5,
        expires_at=timezone.now() + datetime.timedelta(days=1),
    )
    assert take_drill_clip(upload) == reverse("drills:drill", args=[drill.pk])
    drill.refresh_from_db()
    assert drill.clip.upload == upload
    assert drill.clip.lesson is None
    assert drill.clip.coach == coach


@pytest.mark.parametrize("key", ["", "0", "999999", "x", "9" * 40, "-1", "²"])
def test_it_refuses_an_unknown_drill(coach, key):
    with pytest.raises(Refused, match="not in your library"):
        check_drill_clip(coach, {"drill": key}, 5)


def test_it_refuses_a_drill_of_another_coach(other_coach, student, drill):
    for user in (other_coach, student.user):
        with pytest.raises(Refused, match="not in your library"):
            check_drill_clip(user, metadata(drill), 5)


def test_it_refuses_what_is_too_large(coach, drill):
    with pytest.raises(Refused, match="limit"):
        check_drill_clip(coach, metadata(drill), settings.MAX_CLIP_BYTES + 1)
