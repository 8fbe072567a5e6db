from __future__ import annotations

from django.urls import path

from lessons.programmes import views

app_name = "programmes"
urlpatterns = [
    path("students/<int:pk>/programmes/new/", views.add, name="add"),
    path("programmes/<int:pk>/", views.road, name="road"),
    path("programmes/<int:pk>/edit/", views.edit, name="edit"),
    path("aims/<int:pk>/reached/", views.reach, name="reach"),
]
