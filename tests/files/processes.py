"""Starting real servers for a test, and ending them."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent


def free_port() -> int:
    """A port of the loopback that nobody uses at this moment."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def wait_for_port(port: int, process: subprocess.Popen[bytes], log: Path) -> None:
    """Return once somebody listens; fail with the server's own words if it ends first."""
    until = time.monotonic() + 30
    while time.monotonic() < until:
        if process.poll() is not None:
            raise RuntimeError(f"the server ended at once: {log.read_text()[-2000:]}")
        with socket.socket() as probe:
            probe.settimeout(1)
            if probe.connect_ex(("127.0.0.1", port)) == 0:
                return
        time.sleep(0.05)
    raise RuntimeError(f"nobody listens at {port}: {log.read_text()[-2000:]}")


@contextmanager
def server(
    arguments: list[str], port: int, log: Path, environment: Mapping[str, str] | None = None
) -> Iterator[subprocess.Popen[bytes]]:
    """A server in a process group of its own, which is ended after the block."""
    with log.open("wb") as out:
        process = subprocess.Popen(
            arguments, cwd=ROOT, env=environment, stdout=out, stderr=subprocess.STDOUT
        )
    try:
        wait_for_port(port, process, log)
        yield process
    finally:
        process.terminate()
        try:
            process.wait(timeout=10)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait(timeout=10)


@dataclass(frozen=True)
class RealSite:
    """A running site: its address, its data folder, and one signed-in coach."""

    port: int
    data: Path
    session: str
    pid: int

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    @property
    def headers(self) -> dict[str, str]:
        """What makes a request the coach's."""
        return {
            "Cookie": f"carryover_session={self.session}; carryover_csrf={'c' * 32}",
            "X-CSRFToken": "c" * 32,
        }


@contextmanager
def real_site(data: Path, **settings: str) -> Iterator[RealSite]:
    """portal.asgi under granian with a data folder; `settings` are environment variables."""
    port = free_port()
    environment = {
        **os.environ,
        "CARRYOVER_DATA": str(data),
        "CARRYOVER_URL": f"http://127.0.0.1:{port}",
        "CARRYOVER_KEEP_FREE_MB": "0",
        "DJANGO_SETTINGS_MODULE": "tests.files.real_site.settings",
        **settings,
    }
    prepared = subprocess.run(
        [sys.executable, "-m", "tests.files.real_site.prepare"],
        cwd=ROOT,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )
    assert prepared.returncode == 0, prepared.stderr
    arguments = [sys.executable, "-m", "granian", "--interface", "asginl", "--no-ws"]
    arguments += ["--host", "127.0.0.1", "--port", str(port), "portal.asgi:application"]
    with server(arguments, port, data / "granian.log", environment) as process:
        yield RealSite(port, data, prepared.stdout.strip(), process.pid)
