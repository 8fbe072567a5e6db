from __future__ import annotations

from django.urls import path

from lessons.questions import views

app_name = "questions"
urlpatterns = [
    path("questions/", views.thread_list, name="list"),
    path("questions/<int:pk>/", views.thread, name="thread"),
    path("questions/<int:pk>/reply/", views.reply, name="reply"),
    path("lessons/<int:pk>/ask/", views.ask, name="ask"),
    path("students/<int:pk>/write/", views.begin, name="begin"),
    path("students/<int:pk>/check-in/", views.check_in, name="check_in"),
]
