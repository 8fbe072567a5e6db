from __future__ import annotations

from django.urls import path

from lessons.marks import views

app_name = "marks"
urlpatterns = [
    path("stills/<int:pk>/", views.still, name="still"),
    path("stills/<int:pk>/marks/", views.marks, name="marks"),
    path("stills/<int:pk>/caption/", views.caption, name="caption"),
    path("stills/<int:pk>/marked.jpg", views.marked, name="marked"),
    path("marking-error/", views.marking_error, name="marking_error"),
]
