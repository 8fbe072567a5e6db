"""The server against a real tus 1.0.0 client: tuspy."""

from __future__ import annotations

import hashlib
import io
import socket
import time
from urllib.parse import urlsplit

import pytest
from tusclient.exceptions import TusCommunicationError, TusUploadFailed

from portal.files.local import scratch_folder
from portal.files.models import Piece, Upload
from portal.files.uploads import assemble
from tests.files.conftest import some_bytes

pytestmark = pytest.mark.django_db(transaction=True)
CONTENT = some_bytes(1_234_567)
METADATA = {"kind": "parcel", "filename": "swing.mov"}


def arrived() -> bytes:
    with scratch_folder() as folder:
        return assemble(Upload.objects.get(), folder).read_bytes()


def sha256(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


def test_it_takes_a_file_in_pieces(send, parcels, coach):
    send(CONTENT)

    upload = Upload.objects.get()
    assert [done.pk for done in parcels.finished] == [upload.pk]
    assert upload.owner_id == coach.pk
    assert upload.metadata == METADATA
    assert (upload.offset, upload.result) == (len(CONTENT), "/parcels/1/")
    assert Piece.objects.count() == 13
    assert sha256(arrived()) == sha256(CONTENT)


def test_it_takes_a_file_in_one_piece(send, parcels):
    send(CONTENT, chunk_size=2_000_000)
    assert Piece.objects.count() == 1
    assert sha256(arrived()) == sha256(CONTENT)


def test_it_checks_the_checksums_that_tuspy_sends(send, parcels):
    send(CONTENT, upload_checksum=True)
    assert sha256(arrived()) == sha256(CONTENT)


def test_an_upload_is_taken_up_again_where_it_was_left(tus_client, parcels):
    first = tus_client.uploader(
        file_stream=io.BytesIO(CONTENT), chunk_size=100_000, metadata=METADATA
    )
    first.upload(stop_at=300_000)
    assert Upload.objects.get().offset == 300_000

    again = tus_client.uploader(file_stream=io.BytesIO(CONTENT), chunk_size=100_000, url=first.url)
    assert again.offset == 300_000
    again.upload()

    assert len(parcels.finished) == 1
    assert sha256(arrived()) == sha256(CONTENT)


def test_an_upload_goes_on_after_the_line_was_cut_in_the_middle_of_a_piece(tus_client, parcels):
    uploader = tus_client.uploader(
        file_stream=io.BytesIO(CONTENT), chunk_size=100_000, metadata=METADATA
    )
    uploader.upload(stop_at=100_000)
    place = urlsplit(uploader.url)
    lines = [
        f"PATCH {place.path} HTTP/1.1",
        f"Host: {place.netloc}",
        "Tus-Resumable: 1.0.0",
        "Upload-Offset: 100000",
        "Content-Type: application/offset+octet-stream",
        "Content-Length: 100000",
        *(f"{name}: {value}" for name, value in tus_client.headers.items()),
    ]
    with socket.create_connection((place.hostname, place.port)) as line:
        line.sendall("\r\n".join([*lines, "", ""]).encode() + CONTENT[100_000:140_000])
    until = time.monotonic() + 10
    while Upload.objects.get().offset == 100_000 and time.monotonic() < until:
        time.sleep(0.02)

    again = tus_client.uploader(
        file_stream=io.BytesIO(CONTENT), chunk_size=100_000, url=uploader.url
    )
    assert again.offset == 140_000, "what came before the cut is kept"
    again.upload()

    assert sha256(arrived()) == sha256(CONTENT)


def test_a_finished_upload_tells_tuspy_that_nothing_is_left(send, tus_client, parcels):
    url = send(CONTENT)
    again = tus_client.uploader(file_stream=io.BytesIO(CONTENT), chunk_size=100_000, url=url)
    assert again.offset == len(CONTENT)
    again.upload()
    assert len(parcels.finished) == 1


def test_tuspy_is_refused_with_the_reason_before_it_sends(send, parcels):
    parcels.refuse_at_begin = "This lesson is closed."
    with pytest.raises(TusCommunicationError) as refused:
        send(CONTENT)
    assert refused.value.status_code == 422
    assert refused.value.response_content == b"This lesson is closed."
    assert not Upload.objects.exists()


def test_a_piece_that_was_damaged_on_its_way_is_told_and_not_kept(tus_client, parcels):
    uploader = tus_client.uploader(
        file_stream=io.BytesIO(CONTENT), chunk_size=100_000, metadata=METADATA, upload_checksum=True
    )
    # Another algorithm's digest under the name of SHA-1 is a wrong one
    uploader._BaseUploader__checksum_algorithm = hashlib.sha256
    with pytest.raises((TusUploadFailed, TusCommunicationError)) as refused:
        uploader.upload_chunk()
    assert refused.value.status_code == 460
    assert Upload.objects.get().offset == 0
    assert not Piece.objects.exists()
