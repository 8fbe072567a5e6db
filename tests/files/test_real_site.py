"""Uploads and downloads at a site as a host runs it: granian, portal.asgi, a SQLite file."""

from __future__ import annotations

import hashlib
import io
import socket
import threading
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from tusclient.client import TusClient

from tests.files.conftest import some_bytes
from tests.files.processes import (
    RealSite,
    asked,
    begin,
    behind_nginx,
    patch,
    real_site,
    received,
    stalled,
)
from tests.proxy import Proxy, nginx
from tests.servers import Store, free_port

BIG = 64_000_000


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Iterator[RealSite]:
    with real_site(tmp_path_factory.mktemp("site"), CARRYOVER_MAX_CLIP_MB="20") as running:
        folder = running.data / "files" / "clips"
        folder.mkdir(parents=True)
        (folder / "watch.mp4").write_bytes(some_bytes(1_000_000))
        with (folder / "long.mp4").open("wb") as file:
            file.truncate(BIG)
        yield running


def test_of_two_senders_of_one_piece_one_wins(site):
    content = some_bytes(400_000)
    place = begin(site, 500_000)
    together = threading.Barrier(4)

    def send(_: int) -> int:
        together.wait()
        return patch(site, place, 0, content)

    with ThreadPoolExecutor(4) as pool:
        statuses = sorted(pool.map(send, range(4)))

    assert statuses == [204, 409, 409, 409]
    assert received(site.data / "files", place) == content, "the losers' bytes are deleted"


def test_twenty_phones_send_at_once(site):
    def send(number: int) -> bool:
        content = some_bytes(300_000, seed=number)
        client = TusClient(f"{site.url}/uploads/", headers=dict(site.headers))
        uploader = client.uploader(
            file_stream=io.BytesIO(content), chunk_size=50_000, metadata={"kind": "parcel"}
        )
        uploader.upload()
        arrived = received(site.data / "files", uploader.url.removeprefix(site.url))
        return hashlib.sha256(arrived).digest() == hashlib.sha256(content).digest()

    with ThreadPoolExecutor(20) as pool:
        assert all(pool.map(send, range(20)))


def test_a_cut_line_leaves_the_upload_where_it_was(site):
    place = begin(site, 500_000)
    lines = [
        f"PATCH {place} HTTP/1.1",
        f"Host: 127.0.0.1:{site.port}",
        "Tus-Resumable: 1.0.0",
        "Upload-Offset: 0",
        "Content-Type: application/offset+octet-stream",
        "Content-Length: 500000",
        *(f"{name}: {value}" for name, value in site.headers.items()),
    ]
    with socket.create_connection(("127.0.0.1", site.port)) as line:
        line.sendall("\r\n".join([*lines, "", ""]).encode() + b"x" * 100_000)
    response, _ = asked(site, "HEAD", place, Tus_Resumable="1.0.0")
    assert response.headers["Upload-Offset"] == "0"
    assert patch(site, place, 0, some_bytes(500_000)) == 204
    assert received(site.data / "files", place) == some_bytes(500_000)


def test_a_body_that_is_too_large_is_refused_before_it_reaches_the_disk(site):
    response, words = asked(site, "POST", "/page/", b"x" * 10_000_001)
    assert (response.status, words) == (413, b"That is more than this site takes at once.")


def test_a_body_without_a_length_is_cut_off(site):
    """A chunked body says nothing of its size beforehand (RFC 9112, section 7.1)."""
    with socket.create_connection(("127.0.0.1", site.port), timeout=20) as line:
        line.sendall(
            b"POST /page/ HTTP/1.1\r\nHost: 127.0.0.1\r\nTransfer-Encoding: chunked\r\n\r\n"
        )
        try:
            for _ in range(30):
                line.sendall(b"f4240\r\n" + b"x" * 1_000_000 + b"\r\n")
            line.sendall(b"0\r\n\r\n")
            answer = line.recv(100)
        except OSError:
            answer = b""
    assert b" 200 " not in answer
    response, _ = asked(site, "GET", "/page/")
    assert response.status == 200


def test_pages_answer_while_fifty_viewers_stall(site):
    with stalled(50, site.port, "/stored/clips/long.mp4", site.headers["Cookie"]):
        for _ in range(10):
            response, words = asked(site, "GET", "/page/")
            assert response.status == 200
            assert b"Coach has" in words
        response, part = asked(site, "GET", "/stored/clips/watch.mp4", Range="bytes=10-19")
        assert (response.status, part) == (206, some_bytes(1_000_000)[10:20])


def test_a_long_file_arrives_whole(site):
    response, content = asked(site, "GET", "/stored/clips/watch.mp4")
    assert response.status == 200
    assert content == some_bytes(1_000_000)


@pytest.fixture(scope="module")
def proxied(tmp_path_factory: pytest.TempPathFactory) -> Iterator[RealSite]:
    """A site behind nginx, as docker compose sets them up."""
    data = tmp_path_factory.mktemp("proxied")
    folder = data / "files" / "clips"
    folder.mkdir(parents=True)
    for name in ("watch.mp4", "a b%?ü.mp4"):
        (folder / name).write_bytes(some_bytes(1_000_000))
    with (folder / "long.mp4").open("wb") as file:
        file.truncate(BIG)
    with (
        real_site(data, CARRYOVER_FILES_BY="proxy") as running,
        behind_nginx(running, tmp_path_factory.mktemp("nginx")) as site,
    ):
        yield site


@pytest.mark.servers
@pytest.mark.parametrize("path", ["watch.mp4", "a%20b%25%3F%C3%BC.mp4"])
def test_nginx_sends_the_file_and_parts_of_it(proxied, path):
    response, content = asked(proxied, "GET", f"/stored/clips/{path}")
    assert response.status == 200
    assert content == some_bytes(1_000_000)
    assert response.headers["Server"] == "nginx"
    assert response.headers["Content-Type"] == "video/mp4"
    assert response.headers["Cache-Control"] == "private, max-age=3600"
    assert response.headers["X-Content-Type-Options"] == "nosniff"

    response, part = asked(proxied, "GET", f"/stored/clips/{path}", Range="bytes=0-1")
    assert (response.status, part) == (206, content[:2])
    assert response.headers["Content-Range"] == "bytes 0-1/1000000"


@pytest.mark.servers
@pytest.mark.parametrize("path", ["watch.mp4", "../clips/watch.mp4", "%2e%2e/secret_key"])
def test_nginx_shows_nothing_that_the_site_did_not_check(proxied, path: str):
    response, _ = asked(proxied, "GET", f"/protected/clips/{path}")
    assert response.status == 404


@pytest.mark.servers
def test_an_upload_goes_through_nginx(proxied: RealSite):
    content = some_bytes(900_000, seed=3)
    client = TusClient(f"{proxied.url}/uploads/", headers=dict(proxied.headers))
    uploader = client.uploader(
        file_stream=io.BytesIO(content), chunk_size=400_000, metadata={"kind": "parcel"}
    )
    uploader.upload()
    assert received(proxied.data / "files", uploader.url.removeprefix(proxied.url)) == content


def test_the_site_says_nothing_of_a_file_that_is_gone(site: RealSite, tmp_path: Path):
    assert asked(site, "GET", "/stored/clips/none.mp4")[0].status == 404


@pytest.mark.servers
def test_pages_answer_while_fifty_viewers_stall_behind_nginx(proxied: RealSite):
    """As docker compose sets them up, with the files sent by nginx (X-Accel-Redirect)."""
    with stalled(50, proxied.port, "/stored/clips/long.mp4", proxied.headers["Cookie"]):
        for _ in range(10):
            response, words = asked(proxied, "GET", "/page/")
            assert (response.status, b"Coach has" in words) == (200, True)
        response, part = asked(proxied, "GET", "/stored/clips/watch.mp4", Range="bytes=10-19")
        assert (response.status, part) == (206, some_bytes(1_000_000)[10:20])


@pytest.mark.servers
def test_pages_answer_while_fifty_viewers_stall_at_the_stores_links(
    tmp_path: Path, s3_store: Store
):
    """As docker compose sets them up: signed links that lead through nginx to the store."""
    folder = s3_store.folder / s3_store.bucket / "clips"
    folder.mkdir(exist_ok=True)
    with (folder / "long.mp4").open("wb") as file:
        file.truncate(BIG // 4)  # the store reads all of it for each viewer
    ports = Proxy(free_port(), free_port())
    front = tmp_path / "nginx"
    front.mkdir()
    environment = {
        **s3_store.environment,
        "CARRYOVER_FILES_BY": "store",
        "S3_PUBLIC_URL": f"http://127.0.0.1:{ports.store_port}",
    }
    store = s3_store.endpoint.removeprefix("http://")
    with (
        real_site(tmp_path / "data", **environment) as running,
        nginx(front, site=f"127.0.0.1:{running.port}", store=store, files=front, ports=ports),
    ):
        site = RealSite(ports.site_port, running.data, running.session)
        response, _ = asked(site, "GET", "/stored/clips/long.mp4")
        assert response.status == 302
        link = urlsplit(response.headers["Location"])
        assert link.port == ports.store_port
        with stalled(50, ports.store_port, f"{link.path}?{link.query}"):
            for _ in range(10):
                response, words = asked(site, "GET", "/page/")
                assert (response.status, b"Coach has" in words) == (200, True)
            response, _ = asked(site, "GET", "/stored/clips/long.mp4")
            fresh = urlsplit(response.headers["Location"])
            viewer = RealSite(ports.store_port, running.data, "")
            path = f"{fresh.path}?{fresh.query}"
            response, part = asked(viewer, "GET", path, Range="bytes=10-19")
            assert (response.status, part) == (206, bytes(10))
