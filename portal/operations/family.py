"""A parent process that keeps its children running and ends them all when it ends."""

from __future__ import annotations

import ctypes
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

_PR_SET_PDEATHSIG = 1  # linux/prctl.h
_TICK_S = 0.2
_QUICK_DEATH_S = 5.0
_LONGEST_PAUSE_S = 30.0


@dataclass
class Child:
    """One child: its name, its command, and how often it has died young."""

    name: str
    command: Sequence[str]
    process: subprocess.Popen[bytes] | None = None
    started: float = 0.0
    early_deaths: int = 0
    start_after: float = 0.0


@dataclass
class Family:
    """Runs the children until a stop signal: one that dies is started again, ever more slowly.

    `once_up` is called once, as soon as `is_up` says that the site answers.

    `say` is called with a line for the person at the terminal whenever a child has to be started
    again. Ending: SIGTERM to every child, `grace_s` seconds, then SIGKILL to its whole group.
    """

    children: list[Child]
    environment: Mapping[str, str]
    say: Callable[[str], None]
    grace_s: float = 10.0
    is_up: Callable[[], bool] = lambda: True
    once_up: Callable[[], None] = lambda: None
    _stopping: bool = field(default=False, init=False)

    def run(self) -> None:
        """Start all, keep them going, and come back once all of them have ended."""
        previous = {s: signal.signal(s, self._stop) for s in (signal.SIGINT, signal.SIGTERM)}
        try:
            said = False
            while not self._stopping:
                for child in self.children:
                    self._keep(child)
                if not said and self.is_up():
                    said = True
                    self.once_up()
                time.sleep(_TICK_S)
        finally:
            self._end()
            for number, handler in previous.items():
                signal.signal(number, handler)

    def _stop(self, number: int, frame: object) -> None:
        self._stopping = True

    def _keep(self, child: Child) -> None:
        now = time.monotonic()
        if child.process is not None:
            code = child.process.poll()
            if code is None:
                return
            young = now - child.started < _QUICK_DEATH_S
            child.early_deaths = child.early_deaths + 1 if young else 0
            pause = min(_LONGEST_PAUSE_S, 2.0**child.early_deaths - 1)
            child.process, child.start_after = None, now + pause
            self.say(f"The {child.name} ended (code {code}); it starts again in {pause:.0f} s.")
        if now >= child.start_after:
            child.started = now
            child.process = subprocess.Popen(
                child.command,
                env=dict(self.environment),
                stdin=subprocess.DEVNULL,
                start_new_session=True,  # Ctrl-C reaches the parent only, which ends them in order
                # The parent has no threads, and a killed parent must leave no orphan behind
                preexec_fn=_end_with_parent if sys.platform == "linux" else None,
            )

    def _end(self) -> None:
        running = [c.process for c in self.children if c.process and c.process.poll() is None]
        for process in running:
            process.terminate()
        deadline = time.monotonic() + self.grace_s
        for process in running:
            try:
                process.wait(max(0.0, deadline - time.monotonic()))
            except subprocess.TimeoutExpired:
                os.killpg(process.pid, signal.SIGKILL)
                process.wait()


def _end_with_parent() -> None:
    ctypes.CDLL(None).prctl(_PR_SET_PDEATHSIG, signal.SIGTERM, 0, 0, 0)
