from __future__ import annotations

from django.urls import path

from portal.files import views

app_name = "files"
urlpatterns = [
    path("uploads/", views.UploadsView.as_view(), name="uploads"),
    path("uploads/<uuid:pk>/", views.UploadView.as_view(), name="upload"),
]
