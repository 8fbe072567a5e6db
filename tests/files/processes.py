"""A whole site, and nginx in front of it, for the tests of files."""

from __future__ import annotations

import http.client
import socket
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path

from tests.proxy import nginx
from tests.running import Site

PREPARE = """
from django.test import Client
from portal.accounts.models import User
from portal.operations import site
site.make_ready()
client = Client()
client.force_login(User.objects.create_user("coach@example.org", "Coach", User.Role.COACH))
print(client.cookies["carryover_session"].value)
"""


@dataclass(frozen=True)
class RealSite:
    """A running site: where it listens, its data folder, and one signed-in coach."""

    port: int
    data: Path
    session: str

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
def real_site(data: Path, **environment: str) -> Iterator[RealSite]:
    """portal.asgi under granian, with the addresses of tests.files.real_site on top."""
    settings = {"CARRYOVER_KEEP_FREE_MB": "0", **environment}
    settings["DJANGO_SETTINGS_MODULE"] = "tests.files.real_site.settings"
    site = Site(data, settings)
    session = site.python(PREPARE)
    with site.web():
        yield RealSite(site.port, data, session)


@contextmanager
def behind_nginx(site: RealSite, folder: Path) -> Iterator[RealSite]:
    """The site behind Debian's nginx, with the template that docker compose uses."""
    upstream = f"127.0.0.1:{site.port}"
    with nginx(folder, site=upstream, store="127.0.0.1:9", files=site.data / "files") as ports:
        yield RealSite(ports.site_port, site.data, site.session)


def asked(
    site: RealSite, method: str, path: str, body: bytes | None = None, **headers: str
) -> tuple[http.client.HTTPResponse, bytes]:
    """One request of the coach, on a connection of its own."""
    connection = http.client.HTTPConnection("127.0.0.1", site.port, timeout=20)
    try:
        named = {name.replace("_", "-"): value for name, value in headers.items()}
        connection.request(method, path, body, {**site.headers, **named})
        response = connection.getresponse()
        return response, response.read()
    finally:
        connection.close()


def begin(site: RealSite, length: int) -> str:
    response, _ = asked(
        site,
        "POST",
        "/uploads/",
        Tus_Resumable="1.0.0",
        Upload_Length=str(length),
        Upload_Metadata="kind cGFyY2Vs",
    )
    assert response.status == 201
    return response.headers["Location"]


def patch(site: RealSite, place: str, offset: int, content: bytes) -> int:
    response, _ = asked(
        site,
        "PATCH",
        place,
        content,
        Tus_Resumable="1.0.0",
        Upload_Offset=str(offset),
        Content_Type="application/offset+octet-stream",
    )
    return response.status


def received(folder: Path, place: str) -> bytes:
    """The pieces of an upload, joined from where private files lie in `folder`."""
    pieces = (folder / "uploads" / place.strip("/").split("/")[1].replace("-", "")).iterdir()
    ordered = sorted(pieces, key=lambda piece: int(piece.name.split("-")[0]))
    return b"".join(piece.read_bytes() for piece in ordered)


@contextmanager
def stalled(count: int, port: int, path: str, cookie: str = "") -> Iterator[None]:
    """So many viewers who have asked for a long file, got its first bytes, and read no more."""
    request = f"GET {path} HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nCookie: {cookie}\r\n\r\n".encode()
    with ExitStack() as stack:
        viewers = []
        for _ in range(count):
            viewer = stack.enter_context(socket.socket())
            viewer.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
            viewer.settimeout(20)
            viewer.connect(("127.0.0.1", port))
            viewer.sendall(request)
            viewers.append(viewer)
        for viewer in viewers:
            begun = viewer.recv(15)
            assert begun == b"HTTP/1.1 200 OK", begun
        yield
