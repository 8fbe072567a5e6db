from __future__ import annotations

from django.urls import path

from lessons.recaps import views

app_name = "recaps"
urlpatterns = [
    path("lessons/<int:pk>/recap/", views.recap, name="recap"),
    path("lessons/<int:pk>/recap/stills/", views.stills, name="stills"),
    path("lessons/<int:pk>/post/", views.post, name="post"),
    path("lessons/<int:pk>/tell/", views.tell, name="tell"),
    path("lessons/<int:pk>/read/", views.read, name="read"),
]
