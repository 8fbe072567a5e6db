"""The board's pages. `home` stands outside the namespace: every room leads back to it."""

from __future__ import annotations

from django.urls import include, path

from lessons.board.views import board, brief, give, nudge

pages = [
    path("board/", board.board, name="board"),
    path("board/give/", give.give, name="give"),
    path("board/groups/<int:pk>/", give.group, name="group"),
    path("board/words/", nudge.words, name="words"),
    path("board/words/<int:pk>/", nudge.edit_words, name="edit_words"),
    path("students/<int:pk>/brief/", brief.brief, name="brief"),
    path("lessons/<int:pk>/prepare/", brief.prepare, name="prepare"),
    path("students/<int:pk>/nudge/", nudge.nudge, name="nudge"),
]
urlpatterns = [
    path("", board.home, name="home"),
    path("", include((pages, "board"))),
]
