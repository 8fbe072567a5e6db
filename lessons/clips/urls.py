from __future__ import annotations

from django.urls import path

from lessons.clips.views import clips, files, stills

app_name = "clips"
urlpatterns = [
    path("lessons/<int:pk>/clips/", clips.shelf, name="shelf"),
    path("clips/<int:pk>/", clips.clip, name="clip"),
    path("clips/<int:pk>/edit/", clips.edit, name="edit"),
    path("clips/<int:pk>/remove/", clips.remove, name="remove"),
    path("clips/<int:pk>/restore/", clips.restore, name="restore"),
    path("clips/<int:pk>/again/", clips.again, name="again"),
    path("clips/<int:pk>/stills/", stills.take, name="take"),
    path("clips/<int:pk>/stills/list/", stills.stills, name="stills"),
    path("clips/<int:pk>/<str:what>/", files.file, name="file"),
    path("stills/<int:pk>/picture/", files.picture, name="picture"),
    path("stills/<int:pk>/remove/", stills.remove_still, name="remove_still"),
    path("stills/<int:pk>/restore/", stills.restore_still, name="restore_still"),
    path("stills/<int:pk>/again/", stills.pull_again, name="pull_again"),
]
