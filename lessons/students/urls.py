from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.urls import path


def not_yet(request: HttpRequest, **kwargs: object) -> HttpResponse:
    return HttpResponse("not yet")


app_name = "students"
urlpatterns = [
    path("students/", not_yet, name="list"),
    path("students/new/", not_yet, name="add"),
    path("students/<int:pk>/", not_yet, name="student"),
]
