"""The server against a real tus 1.0.0 client: tuspy."""

from __future__ import annotations

import hashlib
import io

import pytest
from tests.files.conftest import some_bytes
from tusclient.exceptions import TusCommunicationError

from portal.files.local import scratch_folder
from portal.files.models import Piece, Upload
from portal.files.uploads import assemble, forget

pytestmark = pytest.mark.django_db(transaction=True)
CONTENT = some_bytes(1_234_567)


def joined(upload: Upload) -> bytes:
    with scratch_folder() as folder:
        return assemble(upload, folder).read_bytes()


def test_it_takes_a_file_in_pieces(send, parcels, coach):
    send(CONTENT)

    upload = Upload.objects.get()
    assert [done.pk for done in parcels.finished] == [upload.pk]
    assert upload.owner_id == coach.pk
    assert upload.metadata == {"kind": "parcel", "filename": "swing.mov"}
    assert (upload.offset, upload.result) == (len(CONTENT), "/parcels/1/")
    assert Piece.objects.count() == 13
    assert hashlib.sha256(joined(upload)).digest() == hashlib.sha256(CONTENT).digest()
