from __future__ import annotations

from django.urls import path

from portal.notices import views

app_name = "notices"
urlpatterns = [
    path("people/me/notices/", views.wishes, name="wishes"),
    path("people/<int:pk>/notices/", views.permission, name="permission"),
    path("notices/browsers/", views.browser, name="browser"),
    path("notices/browsers/<int:pk>/forget/", views.forget, name="forget"),
    path("notices/worker.js", views.worker, name="worker"),
    path("notices/off/<str:token>/", views.off, name="off"),
]
