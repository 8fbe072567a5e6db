"""One upload: HEAD, PATCH and DELETE, after the tus 1.0.0 specification.

Source: https://tus.io/protocols/resumable-upload, sections Core Protocol, Checksum, Expiration and
Termination.
"""

from __future__ import annotations

import base64
import datetime
import hashlib
import shutil

import pytest
import time_machine
from django.core.files.storage import default_storage
from django.test import Client
from django.utils import timezone

from portal.files.models import Piece, Upload

pytestmark = pytest.mark.django_db
TUS = {"Tus-Resumable": "1.0.0"}


@pytest.fixture
def upload(coach, parcels) -> Upload:
    return Upload.objects.create(
        owner=coach,
        kind="parcel",
        metadata={"kind": "parcel"},
        length=10,
        expires_at=timezone.now() + datetime.timedelta(days=7),
    )


def place(upload: Upload) -> str:
    return f"/uploads/{upload.pk}/"


def patch(browser: Client, upload: Upload, offset: object, content: bytes, **headers: str):
    headers = {**TUS, "Upload-Offset": str(offset), **headers}
    kind = headers.pop("Content-Type", "application/offset+octet-stream")
    return browser.patch(place(upload), data=content, content_type=kind, headers=headers)


def checksum(algorithm: str, content: bytes) -> str:
    digest = hashlib.new(algorithm, content).digest()
    return f"{algorithm} {base64.b64encode(digest).decode()}"


def files_of(upload: Upload) -> list[str]:
    try:
        return default_storage.listdir(upload.folder)[1]
    except FileNotFoundError:
        return []


def test_it_tells_how_much_has_arrived(as_coach, upload):
    patch(as_coach, upload, 0, b"abcd")
    response = as_coach.head(place(upload), headers=TUS)
    assert response.status_code == 200
    assert response["Upload-Offset"] == "4"
    assert response["Upload-Length"] == "10"
    assert response["Upload-Metadata"] == "kind cGFyY2Vs"
    assert response["Cache-Control"] == "no-store"
    assert response["Tus-Resumable"] == "1.0.0"
    assert "Carryover-Result" not in response


def test_it_takes_the_next_piece(as_coach, upload):
    response = patch(as_coach, upload, 0, b"abcd")
    assert response.status_code == 204
    assert response["Upload-Offset"] == "4"
    assert "GMT" in response["Upload-Expires"]
    assert patch(as_coach, upload, 4, b"ef")["Upload-Offset"] == "6"


def test_the_last_piece_completes_it_once(as_coach, upload, parcels):
    response = patch(as_coach, upload, 0, b"0123456789")
    assert response["Carryover-Result"] == "/parcels/1/"
    upload.refresh_from_db()
    assert upload.finished_at is not None
    assert patch(as_coach, upload, 0, b"0123456789").status_code == 409
    assert len(parcels.finished) == 1


def test_a_lost_last_answer_can_be_asked_for_again(as_coach, upload):
    patch(as_coach, upload, 0, b"0123456789")
    response = as_coach.head(place(upload), headers=TUS)
    assert response["Upload-Offset"] == response["Upload-Length"] == "10"
    assert response["Carryover-Result"] == "/parcels/1/"


def test_a_piece_sent_twice_is_taken_once(as_coach, upload):
    patch(as_coach, upload, 0, b"abcd")
    response = patch(as_coach, upload, 0, b"abcd")
    assert response.status_code == 409
    assert response["Upload-Offset"] == "4"
    assert Piece.objects.count() == len(files_of(upload)) == 1


def test_it_refuses_a_piece_from_ahead(as_coach, upload):
    assert patch(as_coach, upload, 5, b"fghij").status_code == 409


@pytest.mark.parametrize("offset", ["", "-1", "four"])
def test_it_refuses_an_offset_that_is_none(as_coach, upload, offset):
    assert patch(as_coach, upload, offset, b"abcd").status_code == 400


def test_it_refuses_more_than_was_said(as_coach, upload):
    assert patch(as_coach, upload, 0, b"0123456789x").status_code == 413
    assert not files_of(upload)


def test_it_refuses_another_content_type(as_coach, upload):
    response = patch(as_coach, upload, 0, b"a", **{"Content-Type": "application/json"})
    assert response.status_code == 415


def test_it_refuses_another_version(as_coach, upload):
    assert patch(as_coach, upload, 0, b"a", **{"Tus-Resumable": "2.0.0"}).status_code == 412
    assert as_coach.head(place(upload)).status_code == 412


@pytest.mark.parametrize("algorithm", ["sha1", "sha256"])
def test_it_takes_a_piece_with_its_checksum(as_coach, upload, algorithm):
    right = checksum(algorithm, b"abcd")
    assert patch(as_coach, upload, 0, b"abcd", **{"Upload-Checksum": right}).status_code == 204


@pytest.mark.parametrize("algorithm", ["sha1", "sha256"])
def test_it_refuses_a_piece_with_a_wrong_checksum(as_coach, upload, algorithm):
    wrong = checksum(algorithm, b"abce")
    response = patch(as_coach, upload, 0, b"abcd", **{"Upload-Checksum": wrong})
    assert (response.status_code, response.reason_phrase) == (460, "Checksum Mismatch")
    upload.refresh_from_db()
    assert upload.offset == 0
    assert not files_of(upload)


@pytest.mark.parametrize("header", ["md5 YQ==", "sha1", "sha1 !", "sha1 *"])
def test_it_refuses_a_checksum_it_can_not_read(as_coach, upload, header):
    status = patch(as_coach, upload, 0, b"abcd", **{"Upload-Checksum": header}).status_code
    assert status in {400, 460}
    assert not files_of(upload)


def test_strangers_and_the_signed_out_learn_nothing(as_other_coach, as_nobody, upload):
    for browser, status in ((as_other_coach, 404), (as_nobody, 401)):
        assert browser.head(place(upload), headers=TUS).status_code == status
        assert patch(browser, upload, 0, b"a").status_code == status
        assert browser.delete(place(upload), headers=TUS).status_code == status
    upload.refresh_from_db()
    assert upload.offset == 0


def test_a_stranger_can_not_tell_an_upload_from_none(as_other_coach, upload):
    theirs = as_other_coach.delete(place(upload), headers=TUS)
    none = as_other_coach.delete("/uploads/00000000-0000-4000-8000-000000000000/", headers=TUS)
    assert (theirs.status_code, theirs.content) == (none.status_code, none.content)


def test_it_refuses_other_methods(as_coach, upload):
    assert as_coach.get(place(upload), headers=TUS).status_code == 405
    assert as_coach.put(place(upload), headers=TUS).status_code == 405


def test_an_upload_that_was_left_for_too_long_is_gone(as_coach, upload):
    with time_machine.travel(timezone.now() + datetime.timedelta(days=8), tick=False):
        as_coach.force_login(upload.owner)
        assert as_coach.head(place(upload), headers=TUS).status_code == 410
        response = patch(as_coach, upload, 0, b"abcd")
    assert response.status_code == 410
    assert response.content == b"This upload was left for too long. Send the file again."


def test_a_full_disk_harms_nothing(as_coach, upload, settings, caplog):
    patch(as_coach, upload, 0, b"abcd")
    settings.KEEP_FREE_BYTES = shutil.disk_usage(settings.SCRATCH_DIR).total
    response = patch(as_coach, upload, 4, b"efghij")
    assert response.status_code == 507
    assert "What you sent so far is kept" in response.content.decode()
    settings.KEEP_FREE_BYTES = 0
    assert patch(as_coach, upload, 4, b"efghij").status_code == 204
    caplog.clear()


def test_a_disk_that_fills_up_while_bytes_come_in_harms_nothing(as_coach, upload, caplog):
    """/dev/full answers every write with 'no space left on device'."""
    from portal.files import uploads

    real = uploads.Path.open if hasattr(uploads, "Path") else None
    assert real is not None

    def full(self, *args, **kwargs):
        if self.name == "piece" and args[:1] == ("wb",):
            return open("/dev/full", "wb", buffering=0)  # noqa: PTH123
        return real(self, *args, **kwargs)

    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(uploads.Path, "open", full)
        assert patch(as_coach, upload, 0, b"abcd").status_code == 507
    assert not files_of(upload)
    assert patch(as_coach, upload, 0, b"abcd").status_code == 204
    caplog.clear()


def test_a_refusal_at_the_end_undoes_the_last_piece_only(as_coach, upload, parcels):
    patch(as_coach, upload, 0, b"abcd")
    parcels.refuse_at_finish = "The lesson was removed."
    response = patch(as_coach, upload, 4, b"efghij")
    assert (response.status_code, response.content) == (422, b"The lesson was removed.")
    upload.refresh_from_db()
    assert (upload.offset, upload.finished_at) == (4, None)
    assert len(files_of(upload)) == 1


def test_it_can_be_given_up(as_coach, upload, django_capture_on_commit_callbacks):
    patch(as_coach, upload, 0, b"abcd")
    with django_capture_on_commit_callbacks(execute=True):
        response = as_coach.delete(place(upload), headers=TUS)
    assert response.status_code == 204
    assert response["Tus-Resumable"] == "1.0.0"
    assert not Upload.objects.exists()
    assert not files_of(upload)
    assert as_coach.head(place(upload), headers=TUS).status_code == 404


def test_it_can_not_be_given_up_once_something_was_made_of_it(as_coach, upload):
    patch(as_coach, upload, 0, b"0123456789")
    assert as_coach.delete(place(upload), headers=TUS).status_code == 409
    assert len(files_of(upload)) == 1
