from __future__ import annotations

from django.urls import path

from lessons.practice import views

app_name = "practice"
urlpatterns = [
    path("given/<int:pk>/log/", views.log, name="log"),
    path("logs/<int:pk>/undo/", views.undo, name="undo"),
    path("logs/<int:pk>/more/", views.more, name="more"),
]
