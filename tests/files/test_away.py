"""What counts as a store that is away, asked of a store that answers as it is told."""

from __future__ import annotations

import errno
import threading
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import pytest
from botocore.config import Config

from portal.files.away import AWAY, is_full, is_store_away
from portal.files.storages import PrivateS3Storage


class _Answering(BaseHTTPRequestHandler):
    status = 200

    def answer(self) -> None:
        self.rfile.read(int(self.headers.get("Content-Length", 0)))
        self.send_response(self.status)
        self.send_header("Content-Length", "0")
        self.end_headers()

    do_PUT = do_GET = do_HEAD = do_DELETE = answer  # noqa: N815 - the base class's names

    def log_message(self, *_: object) -> None:
        """Say nothing."""


@pytest.fixture
def address() -> Iterator[str]:
    with ThreadingHTTPServer(("127.0.0.1", 0), _Answering) as server:
        thread = threading.Thread(target=server.serve_forever)
        thread.start()
        yield f"http://127.0.0.1:{server.server_port}"
        server.shutdown()
        thread.join()


def errors_of(address: str, folder: Path) -> dict[str, Exception]:
    """What each way of asking the store raises."""
    path = folder / "any.txt"
    path.write_text("any")
    store = PrivateS3Storage(
        bucket_name="any",
        endpoint_url=address,
        access_key="key",
        secret_key="secret",
        region_name="us-east-1",
        client_config=Config(retries={"total_max_attempts": 1}, s3={"addressing_style": "path"}),
    )
    ways = {
        "put": lambda: store.put(path, "any.txt"),
        "look": lambda: store.look("any.txt"),
        "local": lambda: store.local("any.txt", folder),
        "open_at": lambda: store.open_at("any.txt", 0, 3),
        "delete": lambda: store.delete("any.txt"),
    }
    found = {}
    for name, way in ways.items():
        with pytest.raises(AWAY) as raised:
            way()
        found[name] = raised.value
    return found


@pytest.mark.parametrize(
    ("status", "away"), [(500, True), (503, True), (507, True), (429, True), (403, False)]
)
def test_the_stores_own_answer_tells(
    address: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, status: int, away: bool
):
    monkeypatch.setattr(_Answering, "status", status)
    found = errors_of(address, tmp_path)
    assert {name: is_store_away(error) for name, error in found.items()} == dict.fromkeys(
        found, away
    )


def test_a_store_that_nobody_reaches_is_away(tmp_path: Path):
    found = errors_of("http://127.0.0.1:9", tmp_path)
    assert all(is_store_away(error) for error in found.values()), found


def test_a_disk_is_full_only_where_it_says_so():
    assert is_full(OSError(errno.ENOSPC, "No space left on device"))
    assert is_full(OSError(errno.EDQUOT, "Disk quota exceeded"))
    assert not is_full(OSError(errno.EIO, "Input/output error"))
    assert not is_full(ValueError("no room"))
    assert not is_store_away(OSError(errno.EIO, "Input/output error"))
