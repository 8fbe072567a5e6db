from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.urls import path


def not_yet(request: HttpRequest, **kwargs: object) -> HttpResponse:
    return HttpResponse("not yet")


app_name = "visits"
urlpatterns = [
    path("students/<int:pk>/lessons/new/", not_yet, name="add"),
    path("lessons/<int:pk>/", not_yet, name="desk"),
    path("lessons/<int:pk>/edit/", not_yet, name="edit"),
]
