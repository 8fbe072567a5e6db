"""Uploads and downloads where SQLite and a folder were outgrown: PostgreSQL and a real store."""

from __future__ import annotations

import io
import threading
import urllib.request
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from tusclient.client import TusClient

from tests.files.conftest import some_bytes
from tests.files.processes import RealSite, asked, begin, patch, real_site, received
from tests.servers import Store

pytestmark = pytest.mark.servers


@pytest.fixture(scope="module")
def site(
    tmp_path_factory: pytest.TempPathFactory, postgres_url: str, s3_store: Store
) -> Iterator[RealSite]:
    settings = {"DATABASE_URL": postgres_url, "CARRYOVER_FILES_BY": "store"}
    with real_site(tmp_path_factory.mktemp("site"), **settings, **s3_store.environment) as running:
        yield running


@pytest.fixture
def bucket(s3_store: Store) -> Path:
    return s3_store.folder / s3_store.bucket


def test_of_two_senders_of_one_piece_one_wins(site, bucket):
    content = some_bytes(400_000)
    place = begin(site, 500_000)
    together = threading.Barrier(4)

    def send(_: int) -> int:
        together.wait()
        return patch(site, place, 0, content)

    with ThreadPoolExecutor(4) as pool:
        statuses = sorted(pool.map(send, range(4)))

    assert statuses == [204, 409, 409, 409]
    assert received(bucket, place) == content, "the losers' bytes are deleted"


def test_twenty_phones_send_at_once(site, bucket):
    def send(number: int) -> bool:
        content = some_bytes(100_000, seed=number)
        client = TusClient(f"{site.url}/uploads/", headers=dict(site.headers))
        uploader = client.uploader(
            file_stream=io.BytesIO(content), chunk_size=50_000, metadata={"kind": "parcel"}
        )
        uploader.upload()
        return received(bucket, uploader.url.removeprefix(site.url)) == content

    with ThreadPoolExecutor(20) as pool:
        assert all(pool.map(send, range(20)))


def test_the_store_sends_the_file_by_a_signed_link(site, bucket):
    place = begin(site, 100)
    assert patch(site, place, 0, b"a picture") == 204
    folder = bucket / "uploads" / place.split("/")[2].replace("-", "")
    stored = next(folder.iterdir()).relative_to(bucket)

    response, _ = asked(site, "GET", f"/stored/{stored}")

    assert response.status == 302
    with urllib.request.urlopen(response.headers["Location"]) as answer:
        assert answer.read() == b"a picture"
