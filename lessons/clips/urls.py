from __future__ import annotations

from django.urls import path

from lessons.clips.views import clips, files, stills, swings

app_name = "clips"
urlpatterns = [
    path("lessons/<int:pk>/clips/", clips.shelf, name="shelf"),
    path("clips/<int:pk>/", clips.clip, name="clip"),
    path("clips/<int:pk>/edit/", clips.edit, name="edit"),
    path("clips/<int:pk>/remove/", clips.remove, name="remove"),
    path("clips/<int:pk>/restore/", clips.restore, name="restore"),
    path("clips/<int:pk>/again/", clips.again, name="again"),
    path("clips/<int:pk>/cancel/", clips.cancel, name="cancel"),
    path("clips/<int:pk>/rate/", clips.rate, name="rate"),
    path("clips/<int:pk>/swings/", swings.swings, name="swings"),
    path("clips/<int:pk>/swings/add/", swings.add, name="add_swing"),
    path("clips/<int:pk>/swings/look/", swings.look, name="look"),
    path("clips/<int:pk>/cut/", swings.cut, name="cut"),
    path("clips/<int:pk>/swings/cancel/", swings.cancel_look, name="cancel_look"),
    path("cuts/<int:pk>/cancel/", swings.cancel_cut, name="cancel_cut"),
    path("swings/<int:pk>/place/", swings.place, name="place"),
    path("swings/<int:pk>/positions/", swings.positions, name="positions"),
    path("swings/<int:pk>/undo/", swings.undo, name="undo"),
    path("swings/<int:pk>/keep/", swings.keep, name="keep"),
    path("swings/<int:pk>/remove/", swings.remove_swing, name="remove_swing"),
    path("swings/<int:pk>/restore/", swings.restore_swing, name="restore_swing"),
    path("cuts/<int:pk>/study/", files.study, name="study"),
    path("clips/<int:pk>/stills/", stills.take, name="take"),
    path("clips/<int:pk>/stills/list/", stills.stills, name="stills"),
    path("clips/<int:pk>/chapters/", files.chapters, name="chapters"),
    path("clips/<int:pk>/<str:what>/", files.file, name="file"),
    path("stills/<int:pk>/picture/", files.picture, name="picture"),
    path("stills/<int:pk>/remove/", stills.remove_still, name="remove_still"),
    path("stills/<int:pk>/restore/", stills.restore_still, name="restore_still"),
    path("stills/<int:pk>/again/", stills.pull_again, name="pull_again"),
]
