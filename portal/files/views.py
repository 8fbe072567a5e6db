"""Resumable uploads: a tus 1.0.0 server for signed-in people."""

from __future__ import annotations

import uuid

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.urls import reverse
from django.utils.decorators import method_decorator
from django.utils.http import http_date
from django.views import View

from portal.files import tus
from portal.files.kinds import Refused
from portal.files.models import Upload
from portal.files.tus import TusError
from portal.files.uploads import begin_upload, forget, take_piece


# A phone in the middle of an upload needs a plain 401, not the way to a sign-in page
@method_decorator(login_not_required, name="dispatch")
class TusView(View):
    """What holds for every request: the version, who asks, and how trouble is told."""

    def dispatch(self, request: HttpRequest, *args: object, **kwargs: object) -> HttpResponseBase:
        """Answer, with the protocol's version on every answer."""
        if request.method == "POST" and "X-HTTP-Method-Override" in request.headers:
            # Only in place of POST, which has passed the check against forged requests
            request.method = request.headers["X-HTTP-Method-Override"].upper()
        try:
            response = self.answer(request, *args, **kwargs)
        except TusError as trouble:
            response = told(trouble.status, trouble.sentence)
            for name, value in trouble.headers.items():
                response[name] = value
        except Refused as refused:
            response = told(422, str(refused))
        response["Tus-Resumable"] = tus.VERSION
        response["Cache-Control"] = "no-store"
        return response

    def answer(self, request: HttpRequest, *args: object, **kwargs: object) -> HttpResponseBase:
        """Check the version and the person, then do what was asked."""
        if request.method != "OPTIONS":
            if request.headers.get("Tus-Resumable") != tus.VERSION:
                raise TusError(
                    412, f"This site speaks tus {tus.VERSION} only.", Tus_Version=tus.VERSION
                )
            if not request.user.is_authenticated:
                raise TusError(
                    401,
                    "Sign in again to go on. What was sent is kept.",
                    WWW_Authenticate="Session",
                )
        return super().dispatch(request, *args, **kwargs)

    def options(self, request: HttpRequest, *args: object, **kwargs: object) -> HttpResponse:
        """What this server can do."""
        response = HttpResponse(status=204)
        response["Allow"] = ", ".join(self._allowed_methods())
        response["Tus-Version"] = tus.VERSION
        response["Tus-Max-Size"] = str(settings.MAX_CLIP_BYTES)
        response["Tus-Extension"] = tus.EXTENSIONS
        response["Tus-Checksum-Algorithm"] = ",".join(tus.CHECKSUMS)
        return response


class UploadsView(TusView):
    """Begins uploads."""

    http_method_names = ["post", "options"]

    def post(self, request: HttpRequest) -> HttpResponse:
        """Begin one: the answer's Location is where its pieces go."""
        if "Upload-Defer-Length" in request.headers:
            raise TusError(400, "The length of the file must be said at the start.")
        length = tus.parse_number("Upload-Length", request.headers.get("Upload-Length"))
        metadata = tus.parse_metadata(request.headers.get("Upload-Metadata"))
        upload = begin_upload(request.user, length, metadata)
        response = HttpResponse(status=201)
        response["Location"] = reverse("files:upload", args=[upload.pk])
        return standing(response, upload)


class UploadView(TusView):
    """One upload of the person who asks."""

    http_method_names = ["head", "patch", "delete", "options"]

    def head(self, request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
        """How much has arrived."""
        upload = self.upload(pk)
        response = HttpResponse(status=200)
        response["Upload-Length"] = str(upload.length)
        if upload.metadata:
            response["Upload-Metadata"] = tus.format_metadata(upload.metadata)
        return standing(response, upload)

    def patch(self, request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
        """Take the next piece."""
        if request.content_type != tus.PIECE_TYPE:
            raise TusError(415, f"A piece must be sent as {tus.PIECE_TYPE}.")
        offset = tus.parse_number("Upload-Offset", request.headers.get("Upload-Offset"))
        checksum = tus.parse_checksum(request.headers.get("Upload-Checksum"))
        announced = tus.parse_number("Content-Length", request.headers.get("Content-Length") or "0")
        upload = self.upload(pk)
        take_piece(upload, offset, request, announced=announced, checksum=checksum)
        return standing(HttpResponse(status=204), upload)

    def delete(self, request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
        """Give an upload up, with all that was sent."""
        upload = Upload.objects.visible_to(request.user).filter(pk=pk).first()
        if upload is None:
            raise TusError(404, "There is no such upload.")
        if upload.finished_at is not None:
            raise TusError(409, "This upload is complete. Remove what was made of it instead.")
        forget(upload)
        return HttpResponse(status=204)

    def upload(self, pk: uuid.UUID) -> Upload:
        """The person's own upload, while it can go on."""
        upload = Upload.objects.visible_to(self.request.user).filter(pk=pk).first()
        if upload is None:
            raise TusError(404, "There is no such upload.")
        if upload.expired:
            raise TusError(410, "This upload was left for too long. Send the file again.")
        return upload


def told(status: int, sentence: str) -> HttpResponse:
    """A sentence for the person, as plain text."""
    reason = "Checksum Mismatch" if status == 460 else None
    return HttpResponse(
        sentence, status=status, reason=reason, content_type="text/plain; charset=utf-8"
    )


def standing(response: HttpResponse, upload: Upload) -> HttpResponse:
    """Say how far the upload is, and what became of it once it is complete."""
    response["Upload-Offset"] = str(upload.offset)
    if upload.finished_at is None:
        response["Upload-Expires"] = http_date(upload.expires_at.timestamp())
    elif upload.result:
        response["Carryover-Result"] = upload.result
    return response
