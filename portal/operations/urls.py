from __future__ import annotations

from django.urls import path

from portal.operations import views

app_name = "operations"
urlpatterns = [path("health/", views.health, name="health")]
