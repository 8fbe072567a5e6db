"""One worker a row, whoever else tries; lost work comes back by the sweep."""

from __future__ import annotations

import datetime
import threading
import time

import pytest
import time_machine
from django.db import DataError, OperationalError, connection, transaction
from django.utils import timezone
from kombu.exceptions import OperationalError as BrokerAway

from portal.mail.models import Letter
from portal.mail.tasks import send_letter
from portal.work import lease as lease_module
from portal.work import sending
from portal.work.lease import claimed
from tests.work.rest import rested


@pytest.fixture
def letter(db: None) -> Letter:
    return Letter.objects.create(kind="test/test", to="a@example.org", subject="S", text="T")


def test_a_waiting_row_is_claimed_once(letter: Letter):
    assert Letter.claim(letter.pk) is not None
    assert Letter.claim(letter.pk) is None


def test_a_claim_counts_as_an_attempt(letter: Letter):
    Letter.claim(letter.pk)
    letter.refresh_from_db()
    assert (letter.state, letter.attempts) == (Letter.State.SENDING, 1)


def let_lapse(letter: Letter) -> None:
    """As if its holder had been silent for long."""
    past = timezone.now() - datetime.timedelta(seconds=1)
    Letter.objects.filter(pk=letter.pk).update(lease_until=past)


def test_a_lapsed_lease_can_be_claimed_by_another(letter: Letter):
    first = Letter.claim(letter.pk)
    let_lapse(letter)
    second = Letter.claim(letter.pk)
    assert second is not None
    assert second != first


def test_a_lease_is_as_long_as_the_setting_says(letter: Letter, settings):
    Letter.claim(letter.pk)
    letter.refresh_from_db()
    left_s = (letter.lease_until - timezone.now()).total_seconds()
    assert settings.WORK_LEASE_SECONDS - 5 < left_s <= settings.WORK_LEASE_SECONDS


def test_a_worker_whose_clock_is_wrong_takes_nobodys_work(letter: Letter):
    Letter.claim(letter.pk)
    for hours in (-30, -1, 1, 30):
        with time_machine.travel(timezone.now() + datetime.timedelta(hours=hours)):
            assert Letter.claim(letter.pk) is None
            assert not Letter.lost().exists()


def test_work_is_not_lost_when_the_clock_is_set_back(letter: Letter):
    ahead = timezone.now() + datetime.timedelta(hours=1)
    Letter.objects.update(sent_at=ahead)
    assert list(Letter.lost()) == [letter]
    Letter.claim(letter.pk)
    Letter.objects.update(lease_until=ahead)
    assert list(Letter.lost()) == [letter]
    assert Letter.claim(letter.pk) is not None


def test_who_lost_the_lease_cannot_write_the_outcome(letter: Letter):
    first = Letter.claim(letter.pk)
    let_lapse(letter)
    second = Letter.claim(letter.pk)
    assert not Letter.settle(letter.pk, first, Letter.State.FAILED)
    assert not Letter.extend(letter.pk, first)
    assert Letter.settle(letter.pk, second, Letter.State.SENT)
    letter.refresh_from_db()
    assert letter.state == Letter.State.SENT


def test_a_row_that_was_put_back_rests_however_often_it_is_sent(letter: Letter):
    """Messages that were sent twice must not use up its attempts while a fault lasts."""
    token = Letter.claim(letter.pk)
    assert Letter.put_back(letter.pk, token, reason="the mail server is away")
    letter.refresh_from_db()
    assert (letter.state, letter.reason) == (Letter.State.WAITING, "the mail server is away")
    assert Letter.claim(letter.pk) is None
    assert not Letter.lost().exists()
    past = timezone.now() - datetime.timedelta(minutes=3)
    Letter.objects.update(lease_until=past, sent_at=past)
    assert list(Letter.lost()) == [letter]
    assert Letter.claim(letter.pk) is not None


def test_who_lost_the_lease_cannot_put_the_row_back(letter: Letter):
    first = Letter.claim(letter.pk)
    let_lapse(letter)
    Letter.claim(letter.pk)
    assert not Letter.put_back(letter.pk, first)


def test_a_row_that_rests_is_ripe_when_the_clock_is_set_back(letter: Letter):
    Letter.put_back(letter.pk, Letter.claim(letter.pk))
    ahead = timezone.now() + datetime.timedelta(hours=1)
    Letter.objects.update(lease_until=ahead, sent_at=ahead)
    assert list(Letter.lost()) == [letter]
    assert Letter.claim(letter.pk) is not None


def test_a_row_put_back_for_what_is_not_its_fault_has_all_its_attempts(letter: Letter):
    Letter.objects.update(attempts=2)
    token = Letter.claim(letter.pk)
    assert Letter.put_back(letter.pk, token, counts=False, reason="The disk is full.")
    letter.refresh_from_db()
    assert (letter.state, letter.attempts) == (Letter.State.WAITING, 0)
    assert letter.waits_because == "The disk is full."
    assert Letter.claim(letter.pk) is None


def test_only_what_waits_tells_what_it_waits_for(letter: Letter):
    Letter.objects.update(state=Letter.State.FAILED, reason="No such address.")
    letter.refresh_from_db()
    assert letter.waits_because == ""


def test_a_settled_row_is_not_claimed_again(letter: Letter):
    token = Letter.claim(letter.pk)
    Letter.settle(letter.pk, token, Letter.State.SENT)
    assert Letter.claim(letter.pk) is None


def test_never_sent_and_lapsed_rows_are_lost_and_fresh_ones_are_not(letter: Letter):
    assert list(Letter.lost()) == [letter]
    Letter.objects.update(sent_at=timezone.now())
    assert not Letter.lost().exists()
    Letter.claim(letter.pk)
    assert not Letter.lost().exists()
    let_lapse(letter)
    assert list(Letter.lost()) == [letter]


def test_the_sweep_sends_lost_rows_and_counts_them(letter: Letter, monkeypatch):
    sent = []
    monkeypatch.setattr(send_letter, "delay", sent.append)
    assert sending.sweep()["Letter"] == 1
    assert sent == [letter.pk]
    assert sending.sweep()["Letter"] == 0


def test_a_broker_that_is_away_leaves_the_row_to_the_sweep(letter: Letter, monkeypatch):
    def away(pk: int) -> None:
        raise BrokerAway("no broker")

    monkeypatch.setattr(send_letter, "delay", away)
    assert not sending.send_now(Letter, letter.pk)
    assert list(Letter.lost()) == [letter]


def test_a_row_is_sent_only_after_the_commit(
    letter: Letter, monkeypatch, django_capture_on_commit_callbacks
):
    sent = []
    monkeypatch.setattr(send_letter, "delay", sent.append)
    with django_capture_on_commit_callbacks(execute=True):
        sending.send(letter)
        assert sent == []
    assert sent == [letter.pk]


@pytest.mark.django_db(transaction=True)
def test_the_heartbeat_keeps_the_lease_while_the_work_runs(settings):
    settings.WORK_LEASE_SECONDS = 1
    row = Letter.objects.create(kind="test/test", to="a@example.org", subject="S", text="T")
    with claimed(Letter, row.pk) as lease:
        time.sleep(1.6)
        assert Letter.claim(row.pk) is None
        assert lease.settle(Letter.State.SENT)


@pytest.mark.django_db(transaction=True)
def test_the_holder_notices_that_the_lease_is_lost(settings):
    settings.WORK_LEASE_SECONDS = 1
    row = Letter.objects.create(kind="test/test", to="a@example.org", subject="S", text="T")
    with claimed(Letter, row.pk) as lease:
        Letter.objects.filter(pk=row.pk).update(lease_token=None)
        assert lease.lost.wait(5)
        assert not lease.settle(Letter.State.SENT)


def fails(monkeypatch: pytest.MonkeyPatch, name: str, times: int) -> list[int]:
    """Let the database refuse a write so many times; the list grows by one with each."""
    true_write, refused = getattr(Letter, name), []

    def write(*args: object, **values: object) -> bool:
        if len(refused) < times:
            refused.append(1)
            raise OperationalError("database or disk is full")
        return true_write(*args, **values)

    monkeypatch.setattr(Letter, name, write)
    return refused


@pytest.fixture
def row(transactional_db: None, monkeypatch: pytest.MonkeyPatch) -> Letter:
    """A letter outside of any transaction, as a worker finds it."""
    monkeypatch.setattr(lease_module, "WRITE_AGAIN_S", 0.01)
    return Letter.objects.create(kind="test/test", to="a@example.org", subject="S", text="T")


def test_the_outcome_is_written_as_soon_as_the_database_takes_it(row: Letter, monkeypatch):
    refused = fails(monkeypatch, "settle", 5)
    with claimed(Letter, row.pk) as lease:
        assert lease.settle(Letter.State.SENT)
    row.refresh_from_db()
    assert (row.state, row.attempts, len(refused)) == (Letter.State.SENT, 1, 5)


def test_a_row_is_put_back_as_soon_as_the_database_takes_it(row: Letter, monkeypatch):
    fails(monkeypatch, "put_back", 5)
    with claimed(Letter, row.pk) as lease:
        assert lease.put_back(counts=False)
    row.refresh_from_db()
    assert (row.state, row.attempts) == (Letter.State.WAITING, 0)


def test_who_lost_the_lease_stops_writing(row: Letter, monkeypatch):
    fails(monkeypatch, "settle", 1)
    with claimed(Letter, row.pk) as lease:
        lease.lost.set()
        assert not lease.settle(Letter.State.SENT)
    row.refresh_from_db()
    assert row.state == Letter.State.SENDING


def test_no_worker_waits_for_ever_to_write(row: Letter, monkeypatch):
    monkeypatch.setattr(lease_module, "WRITE_FOR_S", 0.05)
    fails(monkeypatch, "settle", 1_000_000)
    with pytest.raises(OperationalError), claimed(Letter, row.pk) as lease:
        lease.settle(Letter.State.SENT)


def test_a_transaction_that_failed_is_not_gone_on_with(row: Letter, monkeypatch):
    refused = fails(monkeypatch, "settle", 1)
    with pytest.raises(OperationalError), claimed(Letter, row.pk) as lease, transaction.atomic():
        lease.settle(Letter.State.SENT)
    row.refresh_from_db()
    assert (row.state, row.attempts, len(refused)) == (Letter.State.WAITING, 0, 1)


def test_a_database_that_fails_in_the_middle_of_the_work_costs_no_attempt(row: Letter, monkeypatch):
    for _ in range(5):
        with pytest.raises(OperationalError), claimed(Letter, rested(row)):
            raise OperationalError("the connection is closed")
        row.refresh_from_db()
        assert (row.state, row.attempts) == (Letter.State.WAITING, 0)


def test_a_fault_of_the_program_costs_an_attempt(row: Letter):
    with pytest.raises(DataError), claimed(Letter, row.pk):
        raise DataError("a number out of range")
    row.refresh_from_db()
    assert (row.state, row.attempts) == (Letter.State.SENDING, 1)


@pytest.mark.django_db(transaction=True)
def test_of_many_claims_at_once_one_wins():
    row = Letter.objects.create(kind="test/test", to="a@example.org", subject="S", text="T")
    tokens = []

    def claim() -> None:
        tokens.append(Letter.claim(row.pk))
        connection.close()

    threads = [threading.Thread(target=claim) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len([token for token in tokens if token]) == 1
