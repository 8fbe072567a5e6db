"""Uploads whose line is cut, over and over, at a site as a host runs it: granian, SQLite."""

from __future__ import annotations

import base64
import hashlib
import io
import random
import socket
import time
from collections.abc import Iterator

import pytest
from tusclient.client import TusClient

from tests.files.conftest import some_bytes
from tests.files.processes import RealSite, asked, begin, patch, real_site, received

CUTS = 50
SIZE = 1_500_000
CONTENT = some_bytes(SIZE, seed=50)


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Iterator[RealSite]:
    with real_site(tmp_path_factory.mktemp("cut-site")) as running:
        yield running


def sha256(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


def stands_at(site: RealSite, place: str) -> int:
    response, _ = asked(site, "HEAD", place, Tus_Resumable="1.0.0")
    assert response.status == 200
    return int(response.headers["Upload-Offset"])


def cut_patch(site: RealSite, place: str, offset: int, sent: bytes, said: int, **more: str) -> None:
    """Begin to send `said` bytes from the offset, and cut the line after those of `sent`."""
    lines = [
        f"PATCH {place} HTTP/1.1",
        f"Host: 127.0.0.1:{site.port}",
        "Tus-Resumable: 1.0.0",
        f"Upload-Offset: {offset}",
        "Content-Type: application/offset+octet-stream",
        f"Content-Length: {said}",
        *(f"{name}: {value}" for name, value in (site.headers | more).items()),
    ]
    with socket.create_connection(("127.0.0.1", site.port)) as line:
        line.sendall("\r\n".join([*lines, "", ""]).encode() + sent)


def send_up_to(site: RealSite, place: str, end: int) -> None:
    """Ask where the upload stands and send from there; what a cut sent may still come in."""
    until = time.monotonic() + 20
    while (offset := stands_at(site, place)) < end:
        assert time.monotonic() < until, f"it stands at {offset}"
        assert patch(site, place, offset, CONTENT[offset:end]) in {204, 409}


def test_an_upload_cut_at_fifty_places_arrives_as_it_was_sent(site: RealSite):
    """Fifty pieces, each cut off somewhere in its middle, asked for, and sent on from there."""
    dice = random.Random(1)
    place = begin(site, SIZE)
    ends = [*sorted(dice.sample(range(1, SIZE), CUTS - 1)), SIZE]
    for end in ends:
        offset = stands_at(site, place)
        cut = dice.randrange(offset, end)
        cut_patch(site, place, offset, CONTENT[offset:cut], end - offset)
        assert offset <= stands_at(site, place) <= cut, "never more than was sent"
        send_up_to(site, place, end)
    assert sha256(received(site.data / "files", place)) == sha256(CONTENT)


def test_tuspy_goes_on_after_each_of_many_cuts(site: RealSite):
    """tuspy sends small pieces; between them the line is cut in the middle of one."""
    dice = random.Random(2)
    client = TusClient(f"{site.url}/uploads/", headers=dict(site.headers))
    options = {"chunk_size": 60_000, "retries": 5, "retry_delay": 0}
    first = client.uploader(file_stream=io.BytesIO(CONTENT), metadata={"kind": "parcel"}, **options)
    first.upload(stop_at=60_000)
    url = first.url
    place = url.removeprefix(site.url)
    for _ in range(10):
        offset = stands_at(site, place)
        end = offset + dice.randrange(1, 60_000)
        cut_patch(site, place, offset, CONTENT[offset:end], 60_000)
        again = client.uploader(file_stream=io.BytesIO(CONTENT), url=url, **options)
        again.upload(stop_at=min(SIZE, again.offset + 60_000))
    again = client.uploader(file_stream=io.BytesIO(CONTENT), url=url, **options)
    again.upload()
    assert sha256(received(site.data / "files", place)) == sha256(CONTENT)


def test_a_cut_piece_that_a_checksum_speaks_for_is_not_kept(site: RealSite):
    place = begin(site, SIZE)
    digest = base64.b64encode(hashlib.sha256(CONTENT[:100_000]).digest()).decode()
    cut_patch(site, place, 0, CONTENT[:60_000], 100_000, **{"Upload-Checksum": f"sha256 {digest}"})
    send_up_to(site, place, SIZE)
    assert sha256(received(site.data / "files", place)) == sha256(CONTENT)
    assert len(pieces_of(site, place)) == 1


def test_a_piece_sent_twice_is_kept_once(site: RealSite):
    place = begin(site, SIZE)
    assert patch(site, place, 0, CONTENT[:400_000]) == 204
    assert patch(site, place, 0, CONTENT[:400_000]) == 409
    assert stands_at(site, place) == 400_000
    assert patch(site, place, 400_000, CONTENT[400_000:]) == 204
    assert patch(site, place, 400_000, CONTENT[400_000:]) == 409
    assert sha256(received(site.data / "files", place)) == sha256(CONTENT)
    assert len(pieces_of(site, place)) == 2


def test_a_piece_with_a_wrong_checksum_is_told_and_not_kept(site: RealSite):
    place = begin(site, SIZE)
    wrong = base64.b64encode(hashlib.sha256(b"other").digest()).decode()
    response, words = asked(
        site,
        "PATCH",
        place,
        CONTENT,
        Tus_Resumable="1.0.0",
        Upload_Offset="0",
        Content_Type="application/offset+octet-stream",
        Upload_Checksum=f"sha256 {wrong}",
    )
    assert (response.status, words) == (460, b"This piece was damaged on its way. Send it again.")
    assert stands_at(site, place) == 0
    assert patch(site, place, 0, CONTENT) == 204


def pieces_of(site: RealSite, place: str) -> list[str]:
    folder = site.data / "files" / "uploads" / place.strip("/").split("/")[1].replace("-", "")
    return sorted(path.name for path in folder.iterdir())
