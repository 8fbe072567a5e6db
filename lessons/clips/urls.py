from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.urls import path


def not_yet(request: HttpRequest, **kwargs: object) -> HttpResponse:
    return HttpResponse("not yet")


app_name = "clips"
urlpatterns = [
    path("clips/<int:pk>/", not_yet, name="clip"),
    path("clips/<int:pk>/<str:what>/", not_yet, name="file"),
    path("stills/<int:pk>/picture/", not_yet, name="picture"),
]
