"""log_practice where two requests meet."""

from __future__ import annotations

import datetime
import uuid

import pytest
from django.utils import timezone

from lessons.drills.models import Assignment
from lessons.practice import service
from lessons.practice.models import Log


def test_the_same_form_sent_twice_at_once_is_one_log(
    given: Assignment, monkeypatch: pytest.MonkeyPatch
):
    """Both have looked and found nothing; the other one's row is there before this one's."""
    client_id, today, by = uuid.uuid4(), timezone.localdate(), given.lesson.student.user
    keep = service.keep

    def other_first(*args: object) -> Log:
        Log.objects.create(assignment=given, by=by, day=today, client_id=client_id)
        return keep(*args)

    monkeypatch.setattr(service, "keep", other_first)
    log = service.log_practice(given, by, today, client_id=client_id, again=True)
    assert log == Log.objects.get()


def test_undo_log_says_whether_it_changed_anything(log: Log):
    assert service.undo_log(log)
    assert not service.undo_log(log)


def test_a_day_to_come_is_refused(given: Assignment):
    tomorrow = timezone.localdate() + datetime.timedelta(days=1)
    with pytest.raises(service.NotTakenError, match="still to come"):
        service.log_practice(given, given.lesson.student.user, tomorrow, client_id=uuid.uuid4())


def test_only_today_and_yesterday_can_be_logged(given: Assignment):
    given.lesson.date -= datetime.timedelta(days=9)
    long_ago = timezone.localdate() - datetime.timedelta(days=2)
    with pytest.raises(service.NotTakenError, match="Only today and yesterday"):
        service.log_practice(given, given.lesson.student.user, long_ago, client_id=uuid.uuid4())
