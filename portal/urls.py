"""Every address of the site. A room's addresses stand in the room."""

from __future__ import annotations

from django.urls import include, path

urlpatterns = [
    path("", include("lessons.board.urls")),
    path("", include("lessons.programmes.urls")),
    path("", include("lessons.questions.urls")),
    path("", include("lessons.practice.urls")),
    path("", include("lessons.recaps.urls")),
    path("", include("lessons.drills.urls")),
    path("", include("lessons.pairings.urls")),
    path("", include("lessons.paths.urls")),
    path("", include("lessons.marks.urls")),
    path("", include("lessons.clips.urls")),
    path("", include("lessons.visits.urls")),
    path("", include("lessons.students.urls")),
    path("", include("portal.files.urls")),
    path("", include("portal.notices.urls")),
    path("", include("portal.accounts.urls")),
    path("", include("portal.operations.urls")),
    path("accounts/", include("portal.accounts.sign_in_urls")),
]
