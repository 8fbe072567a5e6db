from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.urls import path


def not_yet(request: HttpRequest, **kwargs: object) -> HttpResponse:
    return HttpResponse("not yet")


app_name = "board"
urlpatterns = [
    path("board/", not_yet, name="board"),
]
