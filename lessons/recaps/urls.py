from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.urls import path


def not_yet(request: HttpRequest, **kwargs: object) -> HttpResponse:
    return HttpResponse("not yet")


app_name = "recaps"
urlpatterns = [
    path("lessons/<int:pk>/read/", not_yet, name="read"),
    path("lessons/<int:pk>/recap/", not_yet, name="recap"),
]
