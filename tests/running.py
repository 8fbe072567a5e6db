"""A whole site for a test, in processes of its own: commands, workers, web."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import textwrap
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from tests.servers import answers, free_port, wait_until

ROOT = Path(__file__).resolve().parent.parent
SET_UP = (
    "import os, django\nos.environ['DJANGO_SETTINGS_MODULE'] = 'portal.settings'\ndjango.setup()\n"
)


@dataclass
class Site:
    """A site in its own data folder. Further settings go into `environment`."""

    folder: Path
    environment: dict[str, str] = field(default_factory=dict)
    port: int = field(default_factory=free_port)

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    @property
    def variables(self) -> dict[str, str]:
        path = os.pathsep.join([str(Path(sys.executable).parent), os.environ["PATH"]])
        own = {"CARRYOVER_DATA": str(self.folder), "CARRYOVER_URL": self.url, "PATH": path}
        return {
            **own,
            "CARRYOVER_LEASE_SECONDS": "3",
            "CARRYOVER_SWEEP_SECONDS": "2",
            **self.environment,
        }

    def _run(self, command: list[str]) -> str:
        done = subprocess.run(
            command, cwd=ROOT, env=self.variables, capture_output=True, text=True, check=False
        )
        assert done.returncode == 0, f"{done.stdout}\n{done.stderr}"
        return done.stdout

    def manage(self, *arguments: str) -> str:
        """Run a command of manage.py and return what it printed."""
        return self._run([sys.executable, "manage.py", *arguments])

    def python(self, code: str) -> str:
        """Run code inside the site and return what it printed."""
        return self._run([sys.executable, "-c", SET_UP + textwrap.dedent(code)]).strip()

    def start_worker(
        self, queues: str = "prepare,quick", name: str = "one", children: int = 1, **extra: str
    ) -> subprocess.Popen:
        """A worker process with a process group of its own; `extra` is for its environment."""
        command = [sys.executable, "-m", "celery", "--quiet", "-A", "portal", "worker"]
        command += ["-Q", queues, "-c", str(children), "-n", f"{name}@%h", "--loglevel", "INFO"]
        return self._start(command, f"worker-{name}.log", **extra)

    def _start(self, command: list[str], log_name: str, **extra: str) -> subprocess.Popen:
        with (self.folder / log_name).open("ab") as log:
            return subprocess.Popen(
                command,
                cwd=ROOT,
                env={**self.variables, **extra},
                stdout=log,
                stderr=log,
                start_new_session=True,
            )

    @contextmanager
    def worker(
        self, queues: str = "prepare,quick", name: str = "one", children: int = 1, **extra: str
    ) -> Iterator[None]:
        """A worker for the length of the block."""
        process = self.start_worker(queues, name, children, **extra)
        try:
            yield
        finally:
            end(process)

    @contextmanager
    def beat(self) -> Iterator[None]:
        """The clock that asks for the sweep."""
        command = [sys.executable, "-m", "celery", "--quiet", "-A", "portal", "beat"]
        process = self._start(command, "beat.log")
        try:
            yield
        finally:
            end(process)

    @contextmanager
    def web(self) -> Iterator[str]:
        """The web server for the length of the block; its address."""
        command = [sys.executable, "-m", "granian", "--interface", "asginl", "--host", "127.0.0.1"]
        command += ["--port", str(self.port), "--no-ws", "portal.asgi:application"]
        process = self._start(command, "web.log")
        try:
            wait_until(lambda: answers(self.port), "the web server answers")
            yield self.url
        finally:
            end(process)


def end(process: subprocess.Popen) -> None:
    """End a process group as a host would: ask first, then kill."""
    process.terminate()
    try:
        process.wait(15)
    except subprocess.TimeoutExpired:
        kill_group(process)


def kill_group(process: subprocess.Popen) -> None:
    """kill -9 of the process and all it started in its group."""
    os.killpg(process.pid, signal.SIGKILL)
    process.wait()
