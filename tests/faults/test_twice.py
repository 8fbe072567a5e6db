"""The same work asked for many times at once, and clocks that disagree: one winner."""

from __future__ import annotations

import subprocess
import sys
import time

import pytest

from tests.faults.house import House
from tests.running import ROOT

pytestmark = pytest.mark.servers


def test_five_deliveries_and_two_sweeps_at_once_have_one_winner(house: House):
    keys = house.upload(2)
    for pk in keys:
        house.ask("deliver", "Clip", pk, 4)
    sweeps = [
        subprocess.Popen([sys.executable, "manage.py", "sweep"], cwd=ROOT, env=house.site.variables)
        for _ in range(2)
    ]
    with house.site.worker(name="many", children=4), house.site.beat():
        assert [sweep.wait(60) for sweep in sweeps] == [0, 0]
        since = time.monotonic()
        took = house.settled(since)
    orphans = house.inspect()
    assert orphans == 0, "a loser leaves nothing"
    for pk in keys:
        row = house.row("Clip", pk)
        assert row["attempts"] == 1
        house.note("5 messages, 2 sweeps at once", row, took["Clip", pk])


@pytest.mark.parametrize("hours", [-1, 1])
def test_a_worker_whose_clock_is_wrong_takes_no_work_from_another(house: House, hours: int):
    """Its sweep looks for lost work by the database's clock, not by its own."""
    wrong = {"FAULTS_CLOCK_S": str(hours * 3600)}
    with (
        house.site.worker(name="right"),
        house.site.worker(name="wrong", **wrong),
        house.site.beat(),
    ):
        keys = house.upload(3)
        for _ in range(3):
            for pk in keys:
                house.ask("deliver", "Clip", pk, 1)
        since = time.monotonic()
        took = house.settled(since)
    orphans = house.inspect()
    for pk in keys:
        assert house.row("Clip", pk)["attempts"] == 1
    slowest = max(keys, key=lambda pk: took["Clip", pk])
    house.note(
        f"clock {hours:+d} h in one worker",
        house.row("Clip", slowest),
        took["Clip", slowest],
        orphans,
    )
