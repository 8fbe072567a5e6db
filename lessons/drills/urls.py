from __future__ import annotations

from django.urls import path

from lessons.drills import views

app_name = "drills"
urlpatterns = [
    path("drills/", views.drill_list, name="list"),
    path("drills/new/", views.add, name="add"),
    path("drills/<int:pk>/", views.drill, name="drill"),
    path("drills/<int:pk>/edit/", views.edit, name="edit"),
    path("drills/<int:pk>/given/", views.renew, name="renew"),
    path("drills/<int:pk>/archive/", views.archive, name="archive"),
    path("drills/<int:pk>/clip/drop/", views.drop_clip, name="drop_clip"),
    path("given/<int:pk>/", views.given, name="given"),
]
