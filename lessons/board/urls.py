"""The board's pages. `home` stands outside the namespace: every room leads back to it."""

from __future__ import annotations

from django.urls import include, path

from lessons.board import views

urlpatterns = [
    path("", views.home, name="home"),
    path("board/", include(([path("", views.board, name="board")], "board"))),
]
