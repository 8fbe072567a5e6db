"""Addresses of people; sign_in_urls.py has those that allauth serves."""

from __future__ import annotations

from django.urls import path

from portal.accounts.views.enter import enter
from portal.accounts.views.first import first
from portal.accounts.views.invitation import invitation
from portal.accounts.views.password import password
from portal.accounts.views.profile import elsewhere, profile

app_name = "accounts"
urlpatterns = [
    path("welcome/", first, name="first"),
    path("enter/<str:token>/", enter, name="enter"),
    path("invitations/<str:token>/", invitation, name="invitation"),
    path("people/me/", profile, name="profile"),
    path("people/me/password/", password, name="password"),
    path("people/me/elsewhere/", elsewhere, name="elsewhere"),
]
