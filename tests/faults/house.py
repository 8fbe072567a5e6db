"""A site whose every process obeys the test's orders, and what the test sees of it."""

from __future__ import annotations

import hashlib
import json
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from tests.running import ROOT, Site
from tests.servers import Server, wait_until

RESEND_S = 6  # a twentieth of the site's own time, so that a run takes minutes
LEASE_S = 3
Row = dict[str, Any]


@dataclass(frozen=True)
class Figure:
    """One line of the table that a run prints at its end."""

    transport: str
    fault: str
    kind: str
    outcome: str
    recovery_s: float
    attempts: int
    orphans: int


@dataclass
class House:
    """A site with its servers, a process inside it, and the control folder."""

    transport: str
    site: Site
    control: Path
    recording: Path
    broker: Server | None = None
    database: Server | None = None
    figures: list[Figure] = field(default_factory=list)
    inside: subprocess.Popen | None = None
    is_mounted: bool = False

    def ask(self, name: str, *arguments: object) -> Any:
        """Let the process inside the site do something, or tell something."""
        if self.inside is None or self.inside.poll() is not None:
            with (self.site.folder / "inside.log").open("ab") as log:
                self.inside = subprocess.Popen(
                    [sys.executable, "-m", "tests.faults.inside"],
                    cwd=ROOT,
                    env=self.site.variables,
                    stdin=subprocess.PIPE,
                    stdout=subprocess.PIPE,
                    stderr=log,
                    text=True,
                )
        self.inside.stdin.write(json.dumps([name, arguments]) + "\n")
        self.inside.stdin.flush()
        line = self.inside.stdout.readline()
        assert line, (self.site.folder / "inside.log").read_text()[-2000:]
        return json.loads(line)

    def end(self) -> None:
        if self.inside is not None:
            self.inside.stdin.close()
            self.inside.wait(10)
            self.inside.stdout.close()

    def upload(self, count: int = 1) -> list[int]:
        """Send the recording so many times; the primary keys of the clips."""
        keys = [self.ask("upload", str(self.recording)) for _ in range(count)]
        assert all(isinstance(pk, int) for pk in keys), keys
        return keys

    def rows(self, kind: str = "") -> list[Row]:
        found = self.ask("rows")
        assert isinstance(found, list), found
        return [row for row in found if kind in {"", row["kind"]}]

    def row(self, kind: str, pk: int) -> Row:
        return next(row for row in self.rows(kind) if row["pk"] == pk)

    def claims(self, kind: str, pk: int) -> int:
        """How often a worker has taken the row up, where the site's processes count it."""
        file = self.control / "claims"
        return file.read_text().split("\n").count(f"{kind} {pk}") if file.exists() else 0

    @contextmanager
    def ordered(self, order: str) -> Iterator[None]:
        """An order in the control folder for the length of the block."""
        path = self.control / order
        path.touch()
        try:
            yield
        finally:
            path.unlink()

    def reached(self, stage: str) -> tuple[int, str] | None:
        """The key of the row with which a process waits at 'Kind:stage', and its progress."""
        mark = self.control / f"at-{stage.replace(':', '-')}"
        words = mark.read_text().split() if mark.exists() else []
        return (int(words[0]), " ".join(words[1:])) if words else None

    def settled(self, since: float, seconds: float = 240) -> dict[tuple[str, int], float]:
        """Wait until every row has ended; how long each took since then."""
        took: dict[tuple[str, int], float] = {}

        def all_ended() -> bool:
            rows = self.ask("rows")
            if not isinstance(rows, list):
                return False
            for row in rows:
                if row["is"] in {"waiting", "running"}:
                    took.pop((row["kind"], row["pk"]), None)  # at work again
                else:
                    took.setdefault((row["kind"], row["pk"]), time.monotonic() - since)
            time.sleep(0.2)
            return all((row["kind"], row["pk"]) in took for row in rows)

        wait_until(all_ended, "every row of work has ended", seconds)
        # What ended last may have made new work
        wait_until(all_ended, "every row of work has ended", seconds)
        return took

    def note(self, fault: str, row: Row, recovery_s: float, orphans: int = 0) -> None:
        self.figures.append(
            Figure(
                self.transport,
                fault,
                row["kind"],
                row["is"],
                recovery_s,
                row["attempts"],
                orphans,
            )
        )

    def inspect(self) -> int:
        """What must hold after every fault; returns how many orphans the sweep had to clear.

        Every row has ended well, every file that a row refers to is there, no original is lost,
        and after a sweep no file is left that nobody refers to.
        """
        badly = [row for row in self.rows() if not ended_well(row)]
        assert badly == [], f"ended badly: {badly}"
        found = self.ask("files")
        assert found["missing"] == []
        assert "scratch:" in self.ask("sweep_files")
        left = self.ask("files")
        assert left["orphans"] == left["missing"] == []
        assert not list((self.site.folder / "scratch").glob("work-*"))
        sent = hashlib.sha256(self.recording.read_bytes()).hexdigest()
        for pk, stored, noted in self.ask("originals"):
            assert stored == sent, f"the original of clip {pk} is lost"
            assert noted == sent, f"clip {pk} notes another original"
        return len(found["orphans"])


def ended_well(row: Row) -> bool:
    """Done; or, where no browser is there to be pushed to, failed with the reason."""
    if row["kind"] == "Push":
        return row["is"] == "failed" and bool(row["reason"])
    return row["is"] == "done"


def table(figures: list[Figure]) -> list[str]:
    """The figures as lines of text."""
    head = ("transport", "fault", "work", "outcome", "recovered", "attempts", "orphans")
    lines = [
        (
            f.transport,
            f.fault,
            f.kind,
            f.outcome,
            f"{f.recovery_s:.1f} s",
            str(f.attempts),
            str(f.orphans),
        )
        for f in sorted(figures, key=lambda f: (f.transport, f.fault, f.kind))
    ]
    widths = [max(len(line[i]) for line in [head, *lines]) for i in range(len(head))]
    return [
        "  ".join(w.ljust(n) for w, n in zip(line, widths, strict=True)) for line in [head, *lines]
    ]


def until(true: Callable[[], object], what: str, seconds: float = 60) -> None:
    wait_until(lambda: bool(true()), what, seconds)
