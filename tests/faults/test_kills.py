"""kill -9 of the whole worker group at each stage of each kind of work.

One worker with a child for each stage: the first child that comes to a stage waits there, the
next one goes past it to the next. When all wait, the group is killed. Nothing is helped along
afterwards: another worker and the clock have to find what was left.
"""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from tests.faults.house import House, ended_well, until
from tests.running import kill_group

pytestmark = pytest.mark.servers
STAGES = ("claimed", "joining", "looking", "encoding", "keeping", "settling")
KNOWN = {"Letter", "HeldNotice", "Push", "Still", "SwingSearch", "Cut", "Path", "SavedPairing"}


def killed_at(house: House, stages: list[str], order_work) -> dict[str, tuple[int, str]]:
    """Let one worker group come to every stage, and kill it there; which row was at which."""
    worker = house.site.start_worker(
        name="doomed", children=len(stages), FAULTS_STAGES=" ".join(stages)
    )
    try:
        order_work()

        def all_there() -> bool:
            return all(house.reached(stage) for stage in stages)

        try:
            until(all_there, "each stage has its process", 180)
        except pytest.fail.Exception:
            missing = [stage for stage in stages if not house.reached(stage)]
            pytest.fail(f"no process came to {missing}; rows: {house.rows()}")
    finally:
        kill_group(worker)
    return {stage: house.reached(stage) for stage in stages}


def programs_at_work(house: House) -> list[str]:
    """Command lines of processes that still work in the site's scratch space."""
    scratch = str(house.site.folder / "scratch")
    found = []
    for entry in Path("/proc").iterdir():
        try:
            line = (entry / "cmdline").read_bytes() if entry.name.isdigit() else b""
        except OSError:
            continue
        if scratch.encode() in line and b"tests.faults" not in line:
            found.append(line.replace(b"\0", b" ").decode(errors="replace")[:200])
    return found


def test_a_clip_gets_over_the_death_of_its_worker_at_every_stage(house: House):
    stages = [f"Clip:{name}" for name in STAGES]
    rows = killed_at(house, stages, lambda: house.upload(len(stages)))
    killed_at_s = time.monotonic()
    until(lambda: not programs_at_work(house), "no ffmpeg outlives its worker", 10)

    with house.site.worker(name="next", children=2), house.site.beat():
        took = house.settled(killed_at_s)
    orphans = house.inspect()
    for stage, (pk, detail) in rows.items():
        row = house.row("Clip", pk)
        assert row["is"] == "done", (stage, row)
        assert row["attempts"] == 2, (stage, row)
        name = stage.partition(":")[2] + (f" ({int(detail) // 10} %)" if detail else "")
        house.note(f"killed: {name}", row, took["Clip", pk], orphans)


def test_every_other_kind_of_work_gets_over_it_too(house: House):
    kinds = [kind for kind in house.ask("kinds") if kind != "Clip"]
    if set(kinds) - KNOWN:
        pytest.fail(f"order them here, and say so in KNOWN: {set(kinds) - KNOWN}")
    with house.site.worker(name="before", children=2):
        (clip,) = house.upload()
        house.settled(time.monotonic())

    def order_work() -> None:
        house.upload(3)  # searches and cuts follow from clips
        for number in range(2):
            house.ask("letter")
            house.ask("held_notice")
            house.ask("push")
            house.ask("still", clip, 100_000 * (number + 1))
            house.ask("path", clip, 100_000 * (number + 1))
            house.ask("saved_pairing", clip)

    stages = [f"{kind}:{name}" for kind in kinds for name in ("claimed", "settling")]
    with house.site.beat():
        rows = killed_at(house, stages, order_work)
        killed_at_s = time.monotonic()
        with house.site.worker(name="next", children=2):
            took = house.settled(killed_at_s)
    orphans = house.inspect()
    for stage, (pk, _) in rows.items():
        kind, _, name = stage.partition(":")
        row = house.row(kind, pk)
        assert ended_well(row), (stage, row)
        assert row["attempts"] == 2, (stage, row)
        house.note(f"killed: {name}", row, took[kind, pk], orphans)
