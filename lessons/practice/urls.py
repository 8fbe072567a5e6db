from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.urls import path


def not_yet(request: HttpRequest, **kwargs: object) -> HttpResponse:
    return HttpResponse("not yet")


app_name = "practice"
urlpatterns = [
    path("given/<int:pk>/log/", not_yet, name="log"),
    path("logs/<int:pk>/undo/", not_yet, name="undo"),
]
