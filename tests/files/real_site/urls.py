"""Addresses of the test site: uploads, stored files by name, a page that asks the database."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.urls import include, path

from portal.files import kinds
from portal.files.models import Piece, Upload
from portal.files.serving import send_file


def stored(request: HttpRequest, name: str) -> HttpResponseBase:
    return send_file(request, Piece(file=name).file, content_type="video/mp4")


def page(request: HttpRequest) -> HttpResponse:
    return HttpResponse(f"{request.user.name} has {Upload.objects.count()} uploads")


kinds.register("parcel", check=lambda *_: None, finish=lambda upload: f"/parcels/{upload.pk}/")
urlpatterns = [
    path("page/", page),
    path("stored/<path:name>", stored),
    path("", include("portal.urls")),
]
