from __future__ import annotations

from django.urls import path

from lessons.visits import views

app_name = "visits"
urlpatterns = [
    path("students/<int:pk>/lessons/new/", views.add, name="add"),
    path("lessons/<int:pk>/", views.desk, name="desk"),
    path("lessons/<int:pk>/edit/", views.edit, name="edit"),
]
