from __future__ import annotations

from django.urls import path

from lessons.pairings.views import pairings, saved

app_name = "pairings"
urlpatterns = [
    path("lessons/<int:pk>/pairings/new/", pairings.add, name="add"),
    path("pairings/<int:pk>/", pairings.pairing, name="pairing"),
    path("pairings/<int:pk>/keep/", pairings.keep, name="keep"),
    path("pairings/<int:pk>/cuts/", pairings.cuts, name="cuts"),
    path("pairings/<int:pk>/remove/", pairings.remove, name="remove"),
    path("pairings/<int:pk>/restore/", pairings.restore, name="restore"),
    path("pairing-sides/<int:pk>/draw/", pairings.draw, name="draw"),
    path("pairings/<int:pk>/saved/", saved.saved, name="saved"),
    path("pairings/<int:pk>/saved/still/", saved.save_still, name="save_still"),
    path("pairings/<int:pk>/saved/film/", saved.save_film, name="save_film"),
    path("saved-pairings/<int:pk>/", saved.file, name="file"),
    path("saved-pairings/<int:pk>/poster/", saved.poster, name="poster"),
    path("saved-pairings/<int:pk>/edit/", saved.edit, name="edit"),
    path("saved-pairings/<int:pk>/cancel/", saved.cancel, name="cancel"),
    path("saved-pairings/<int:pk>/again/", saved.again, name="again"),
    path("saved-pairings/<int:pk>/remove/", saved.remove_saved, name="remove_saved"),
    path("saved-pairings/<int:pk>/restore/", saved.restore_saved, name="restore_saved"),
]
