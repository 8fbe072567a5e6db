"""Work that takes its time: cancelled, and begun anew where that can help."""

from __future__ import annotations

import pytest
from django.utils import timezone

from lessons.clips.models import Clip, Cut
from lessons.pairings.models import SavedPairing
from portal.work.models import LongWorkRow
from tests import factories

KINDS = {
    Clip: factories.ClipFactory,
    Cut: factories.CutFactory,
    SavedPairing: factories.SavedPairingFactory,
}


@pytest.fixture(params=KINDS, ids=lambda kind: kind.__name__)
def row(request: pytest.FixtureRequest, db: None) -> LongWorkRow:
    return KINDS[request.param]()


def put(row: LongWorkRow, state: str, **values: object) -> None:
    type(row).objects.filter(pk=row.pk).update(state=state, **values)
    row.refresh_from_db()


def test_who_works_at_a_cancelled_one_can_no_longer_write(row: LongWorkRow):
    put(row, row.WAITING)
    token = row.claim(row.pk)
    assert row.cancel()
    row.refresh_from_db()
    assert (row.is_cancelled, row.lease_token, row.lease_until) == (True, None, None)
    assert not row.settle(row.pk, token, row.DONE)


def test_what_has_ended_is_not_cancelled(row: LongWorkRow):
    for state in (row.DONE, row.FAILED, row.CANCELLED):
        put(row, state)
        assert not row.cancel()
        row.refresh_from_db()
        assert row.state == state


@pytest.mark.parametrize("state", ["CANCELLED", "FAILED"])
def test_it_begins_anew_with_nothing_left_of_before(row: LongWorkRow, state: str):
    now = timezone.now()
    left = {"attempts": 3, "progress_permille": 420, "began_at": now, "sent_at": now}
    put(row, getattr(row, state), reason="Too long.", may_pass_later=state == "FAILED", **left)
    assert row.may_go_again
    assert row.begin_anew()
    row.refresh_from_db()
    assert (row.state, row.reason, row.may_pass_later) == (row.WAITING, "", False)
    assert (row.attempts, row.percent, row.began_at, row.sent_at) == (0, 0, None, None)
    assert row.claim(row.pk)


def test_what_no_attempt_can_help_stays_as_it_is(row: LongWorkRow):
    for state in (row.WAITING, row.RUNNING, row.DONE, row.FAILED):
        put(row, state, may_pass_later=False, reason="It is damaged.")
        assert not row.may_go_again
        assert not row.begin_anew()
        row.refresh_from_db()
        assert (row.state, row.reason) == (state, "It is damaged.")
