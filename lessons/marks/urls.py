from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.urls import path


def not_yet(request: HttpRequest, **kwargs: object) -> HttpResponse:
    return HttpResponse("not yet")


app_name = "marks"
urlpatterns = [
    path("stills/<int:pk>/", not_yet, name="still"),
    path("stills/<int:pk>/marks/", not_yet, name="marks"),
    path("stills/<int:pk>/marked.jpg", not_yet, name="marked"),
]
