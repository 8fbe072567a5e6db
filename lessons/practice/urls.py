from __future__ import annotations

from django.urls import path

from lessons.practice.views import feed, logs, phone, today

app_name = "practice"
urlpatterns = [
    path("today/", today.today, name="today"),
    path("students/<int:pk>/minutes/", today.minutes, name="minutes"),
    path("students/<int:pk>/remind/", today.remind, name="remind"),
    path("students/<int:pk>/rest/", today.rest, name="rest"),
    path("students/<int:pk>/back/", today.back, name="back"),
    path("given/<int:pk>/log/", logs.log, name="log"),
    path("given/<int:pk>/keep/", phone.keep, name="keep"),
    path("logs/<int:pk>/undo/", logs.undo, name="undo"),
    path("logs/<int:pk>/more/", logs.more, name="more"),
    path("today/kit.json", phone.kit, name="kit"),
    path("today/who.json", phone.who, name="who"),
    path("today/no-signal/", phone.no_signal, name="no_signal"),
    path("people/me/calendar/", feed.calendar, name="calendar"),
    path("calendar/<str:token>.ics", feed.feed, name="feed"),
    path("manifest.webmanifest", phone.manifest, name="manifest"),
    path("worker.js", phone.worker, name="worker"),
]
