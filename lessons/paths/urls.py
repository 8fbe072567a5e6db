from __future__ import annotations

from django.urls import path

from lessons.paths import views

app_name = "paths"
urlpatterns = [
    path("clips/<int:pk>/follow/", views.begin, name="begin"),
    path("paths/<int:pk>/", views.path, name="path"),
    path("paths/<int:pk>/correct/", views.correct, name="correct"),
    path("paths/<int:pk>/undo/", views.undo, name="undo"),
    path("paths/<int:pk>/again/", views.again, name="again"),
    path("paths/<int:pk>/recap/", views.recap, name="recap"),
    path("paths/<int:pk>/scale/", views.scale, name="scale"),
    path("paths/<int:pk>/remove/", views.remove, name="remove"),
    path("paths/<int:pk>/restore/", views.restore, name="restore"),
]
