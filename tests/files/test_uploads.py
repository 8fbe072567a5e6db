"""Beginning uploads: POST and OPTIONS, after the tus 1.0.0 specification.

Source: https://tus.io/protocols/resumable-upload, sections Core Protocol and Creation.
"""

from __future__ import annotations

import base64
import shutil

import pytest
from django.test import Client
from django.utils import timezone

from portal.files.models import Upload
from portal.files.tus import TusError, format_metadata, parse_metadata

pytestmark = pytest.mark.django_db


def coded(text: str) -> str:
    return base64.b64encode(text.encode()).decode()


PARCEL = f"kind {coded('parcel')},filename {coded('Schwünge, Teil 1.mov')}"


def begin(browser: Client, length: object = 10, metadata: str = PARCEL, **headers: str):
    headers = {"Tus-Resumable": "1.0.0", "Upload-Metadata": metadata, **headers}
    if length is not None:
        headers["Upload-Length"] = str(length)
    return browser.post("/uploads/", content_type="application/octet-stream", headers=headers)


def test_it_begins_an_upload(as_coach, coach, parcels):
    response = begin(as_coach)

    upload = Upload.objects.get()
    assert response.status_code == 201
    assert response["Location"] == f"/uploads/{upload.pk}/"
    assert response["Tus-Resumable"] == "1.0.0"
    assert response["Upload-Offset"] == "0"
    assert "GMT" in response["Upload-Expires"]
    assert upload.metadata["filename"] == "Schwünge, Teil 1.mov"
    assert (upload.owner, upload.length, upload.kind) == (coach, 10, "parcel")
    assert 6 <= (upload.expires_at - timezone.now()).days <= 7


def test_it_says_what_it_can_do_even_to_nobody(as_nobody, settings):
    response = as_nobody.options("/uploads/")
    assert response.status_code == 204
    assert response["Tus-Version"] == "1.0.0"
    assert response["Tus-Max-Size"] == str(settings.MAX_CLIP_BYTES)
    assert response["Tus-Extension"] == "creation,expiration,checksum,termination"
    assert response["Tus-Checksum-Algorithm"] == "sha1,sha256"


def test_it_refuses_other_methods(as_coach):
    response = as_coach.get("/uploads/", headers={"Tus-Resumable": "1.0.0"})
    assert response.status_code == 405
    assert response["Tus-Resumable"] == "1.0.0"


@pytest.mark.parametrize("version", ["0.2.2", "1.0.1", ""])
def test_it_refuses_another_version_and_names_its_own(as_coach, parcels, version):
    response = begin(as_coach, **{"Tus-Resumable": version})
    assert response.status_code == 412
    assert response["Tus-Version"] == "1.0.0"
    assert not Upload.objects.exists()


def test_it_refuses_the_signed_out_without_leading_them_away(as_nobody, parcels):
    response = begin(as_nobody)
    assert response.status_code == 401
    assert "Sign in" in response.content.decode()


def test_it_refuses_a_request_without_the_token_against_forgery(coach, parcels):
    browser = Client(enforce_csrf_checks=True)
    browser.force_login(coach)
    assert begin(browser).status_code == 403
    browser.cookies["carryover_csrf"] = "c" * 32
    assert begin(browser, **{"X-CSRFToken": "c" * 32}).status_code == 201


@pytest.mark.parametrize("length", [None, "-1", "1.5", "ten", "", "9" * 19])
def test_it_refuses_a_length_that_is_none(as_coach, parcels, length):
    assert begin(as_coach, length).status_code == 400
    assert not Upload.objects.exists()


def test_it_refuses_an_empty_file(as_coach, parcels):
    response = begin(as_coach, 0)
    assert (response.status_code, response.content) == (
        400,
        b"This file is empty. Choose another one.",
    )


def test_it_refuses_to_hear_the_length_later(as_coach, parcels):
    assert begin(as_coach, None, **{"Upload-Defer-Length": "1"}).status_code == 400


def test_it_refuses_a_file_that_is_too_large_and_says_what_to_do(as_coach, parcels, settings):
    settings.MAX_CLIP_BYTES = 1000
    response = begin(as_coach, 1001)
    assert response.status_code == 413
    assert "Trim it" in response.content.decode()
    assert begin(as_coach, 1000).status_code == 201


def test_it_refuses_when_the_disk_is_nearly_full(as_coach, parcels, settings, caplog):
    settings.KEEP_FREE_BYTES = shutil.disk_usage(settings.SCRATCH_DIR).total
    response = begin(as_coach)
    assert response.status_code == 507
    assert "disk is nearly full" in response.content.decode()
    assert not Upload.objects.exists()
    caplog.clear()


def test_it_refuses_a_kind_that_nobody_takes(as_coach):
    response = begin(as_coach, metadata=f"kind {coded('poem')}")
    assert response.status_code == 422
    assert response.content == b"This site does not take files of that kind."


def test_it_passes_on_why_a_room_refuses(as_coach, parcels):
    parcels.refuse_at_begin = "The guardian's consent is missing."
    response = begin(as_coach)
    assert (response.status_code, response.content) == (422, b"The guardian's consent is missing.")


def test_another_method_may_be_named_in_place_of_post(as_coach, parcels):
    place = begin(as_coach)["Location"]
    response = as_coach.post(
        place, headers={"Tus-Resumable": "1.0.0", "X-HTTP-Method-Override": "DELETE"}
    )
    assert response.status_code == 204
    assert not Upload.objects.exists()


def test_a_reading_method_never_stands_for_another(as_coach, parcels):
    place = begin(as_coach)["Location"]
    as_coach.head(place, headers={"Tus-Resumable": "1.0.0", "X-HTTP-Method-Override": "DELETE"})
    assert Upload.objects.exists()


@pytest.mark.parametrize(
    "header",
    [
        "kind",  # a key alone is allowed; see below
        "filename d29ybGRfZG9taW5hdGlvbl9wbGFuLnBkZg==,is_confidential",
    ],
)
def test_metadata_may_have_keys_without_a_value(header):
    # The second header is the specification's own example, section Upload-Metadata
    assert "" in parse_metadata(header).values()
    assert format_metadata(parse_metadata(header)) == header


@pytest.mark.parametrize(
    "header",
    [
        "filename not*base64",
        "filename /w==",  # Base64, but of no UTF-8 text
        "a YQ==,a YQ==",
        ",",
        "nöme YQ==",
        "a " + "YWFh" * 3000,
    ],
)
def test_metadata_that_is_broken_is_refused(header):
    with pytest.raises(TusError) as refused:
        parse_metadata(header)
    assert refused.value.status == 400


def test_metadata_loses_control_characters(as_coach, parcels):
    assert parse_metadata(f"filename {coded(chr(0) + 'a' + chr(10) + 'b')}") == {"filename": "ab"}
