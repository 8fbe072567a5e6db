"""A page with nothing but a file field, for the uploads' browser side alone."""

from __future__ import annotations

from pathlib import Path

from django.http import HttpRequest, HttpResponse
from django.middleware.csrf import get_token
from django.urls import include, path

PAGE = """<!doctype html><html lang="en"><title>Send</title>
<script type="module" src="/send.js"></script><input type="file" id="file">"""


def page(request: HttpRequest) -> HttpResponse:
    get_token(request)
    return HttpResponse(PAGE)


def script(request: HttpRequest) -> HttpResponse:
    text = Path(__file__).with_name("upload-page.js").read_text()
    return HttpResponse(text, content_type="text/javascript")


urlpatterns = [
    path("send/", page),
    path("send.js", script),
    path("", include("portal.urls")),
]
