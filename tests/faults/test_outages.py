"""What the work stands on goes away for a while, or forgets all, in the middle of it."""

from __future__ import annotations

import contextlib
import signal
import sqlite3
import time
from collections.abc import Callable, Iterator

import pytest

from tests.faults.house import House, until
from tests.faults.storage import SLOW_S

pytestmark = pytest.mark.servers
AWAY_S = 20
# Longer than a lease and than the rest after a try, and over before the third and last one
STORAGE_AWAY_S = 10


@contextlib.contextmanager
def in_the_middle(house: House) -> Iterator[list[int]]:
    """Three clips are sent, and the first is under way; a worker and the clock run throughout."""
    with house.site.worker(name="steady", children=1), house.site.beat():
        keys = house.upload(3)
        until(
            lambda: any(row["is"] == "running" for row in house.rows("Clip")), "a clip is under way"
        )
        yield keys


def note_all(house: House, fault: str, keys: list[int], took: dict, orphans: int) -> None:
    """The clip that took longest speaks for all."""
    slowest = max(keys, key=lambda pk: took["Clip", pk])
    house.note(fault, house.row("Clip", slowest), took["Clip", slowest], orphans)


def test_a_broker_that_forgot_everything_delays_and_loses_nothing(house: House):
    if house.broker is not None:
        fault = "Redis killed, restarted empty"

        def forget() -> None:
            house.broker.stop(signal.SIGKILL)
            time.sleep(2)
            house.broker.start()
    else:
        fault = "all messages removed"

        def forget() -> None:
            for message in (house.site.folder / "messages" / "queue").glob("*.msg"):
                message.unlink(missing_ok=True)

    with in_the_middle(house) as keys:
        forget()
        since = time.monotonic()
        took = house.settled(since)
    note_all(house, fault, keys, took, house.inspect())


def test_sending_goes_on_while_the_broker_is_away(house: House):
    if house.broker is None:
        pytest.skip("folders are always there")
    house.broker.stop(signal.SIGKILL)
    try:
        (pk,) = house.upload()
    finally:
        house.broker.start()
    since = time.monotonic()
    with house.site.worker(name="steady"), house.site.beat():
        took = house.settled(since)
    note_all(house, "sent while Redis was away", [pk], took, house.inspect())


def gone(house: House) -> Callable[[], None]:
    """Takes the database away for a while."""

    def stopped() -> None:
        house.database.stop(signal.SIGQUIT)
        time.sleep(AWAY_S)
        house.database.start()

    def locked() -> None:
        database = sqlite3.connect(house.site.folder / "carryover.sqlite3", isolation_level=None)
        with contextlib.closing(database):
            database.execute("PRAGMA busy_timeout=20000")
            database.execute("BEGIN IMMEDIATE")
            time.sleep(AWAY_S)
            database.execute("ROLLBACK")

    return locked if house.database is None else stopped


def test_the_database_is_away_for_twenty_seconds(house: House):
    with in_the_middle(house) as keys:
        gone(house)()
        since = time.monotonic()
        took = house.settled(since)
    orphans = house.inspect()
    what = "SQLite locked" if house.database is None else "PostgreSQL away"
    note_all(house, f"{what} for {AWAY_S} s", keys, took, orphans)
    assert all(row["attempts"] <= 2 for row in house.rows("Clip") if row["pk"] in keys)


def test_the_storage_fails_for_a_while(house: House):
    with in_the_middle(house) as keys:
        with house.ordered("storage-fails"):
            time.sleep(STORAGE_AWAY_S)
        since = time.monotonic()
        took = house.settled(since)
    note_all(house, f"storage fails for {STORAGE_AWAY_S} s", keys, took, house.inspect())


def test_the_storage_answers_slowly(house: House):
    with in_the_middle(house) as keys, house.ordered("storage-slow"):
        since = time.monotonic()
        took = house.settled(since)
    note_all(house, f"storage slow ({SLOW_S} s a call)", keys, took, house.inspect())
    assert all(row["attempts"] == 1 for row in house.rows("Clip") if row["pk"] in keys)
