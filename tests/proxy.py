"""Debian's nginx with the template that docker compose uses."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from tests.running import ROOT
from tests.servers import free_port, need, running

TEMPLATE = ROOT / "portal/operations/compose/nginx.conf.template"


@dataclass(frozen=True)
class Proxy:
    """Where nginx listens: for the site, and for the store's signed links."""

    site_port: int
    store_port: int


@contextmanager
def nginx(
    folder: Path, *, site: str, store: str, files: Path, ports: Proxy | None = None
) -> Iterator[Proxy]:
    """nginx in front of a site and a store (each host:port), with private files in a folder."""
    program = need("nginx", Path("/usr/sbin"))
    ports = ports or Proxy(free_port(), free_port())
    text = TEMPLATE.read_text()
    for name, value in {
        "${SITE_UPSTREAM}": site,
        "${STORE_UPSTREAM}": store,
        "${FILES_FOLDER}": str(files),
        "listen 8080;": f"listen 127.0.0.1:{ports.site_port};",
        "listen 9000;": f"listen 127.0.0.1:{ports.store_port};",
    }.items():
        assert name in text, f"the template has no {name}"
        text = text.replace(name, value)
    (folder / "site.conf").write_text(text)
    temporary = "".join(
        f"{what}_temp_path {folder}/{what};\n"
        for what in ("client_body", "proxy", "fastcgi", "uwsgi", "scgi")
    )
    (folder / "nginx.conf").write_text(
        f"daemon off; user root; worker_processes 1; pid {folder}/pid; error_log {folder}/log;\n"
        "events { worker_connections 256; }\n"
        f"http {{ access_log off; {temporary} include {folder}/site.conf; }}\n"
    )
    command = [program, "-p", str(folder), "-c", str(folder / "nginx.conf")]
    with running(command, ports.site_port):
        yield ports
