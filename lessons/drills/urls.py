from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.urls import path


def not_yet(request: HttpRequest, **kwargs: object) -> HttpResponse:
    return HttpResponse("not yet")


app_name = "drills"
urlpatterns = [
    path("drills/", not_yet, name="list"),
    path("drills/<int:pk>/", not_yet, name="drill"),
    path("given/<int:pk>/", not_yet, name="given"),
]
