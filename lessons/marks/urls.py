from __future__ import annotations

from django.urls import path

from lessons.marks import views

app_name = "marks"
urlpatterns = [
    path("stills/<int:pk>/", views.still, name="still"),
    path("stills/<int:pk>/marks/", views.marks, name="marks"),
    path("stills/<int:pk>/caption/", views.caption, name="caption"),
    path("stills/<int:pk>/marked.jpg", views.marked, name="marked"),
    path("lessons/<int:pk>/measures/", views.measures, name="measures"),
    path("stills/<int:pk>/sets/", views.sets, name="sets"),
    path("stills/<int:pk>/sets/keep/", views.keep_set, name="keep_set"),
    path("stills/<int:pk>/sets/copy/", views.copy, name="copy"),
    path("stills/<int:pk>/sets/take-back/", views.take_back_copies, name="take_back_copies"),
    path("sets/<int:pk>/", views.named_set, name="named_set"),
    path("sets/<int:pk>/remove/", views.remove_set, name="remove_set"),
    path("sets/<int:pk>/bring-back/", views.bring_back_set, name="bring_back_set"),
    path("marking-error/", views.marking_error, name="marking_error"),
]
