"""Addresses of students, their guardians, invitations and consent."""

from __future__ import annotations

from django.urls import path

from lessons.students.views import consent, guardian, invite, student
from lessons.students.views.list import student_list

STUDENT, GUARDIAN = {"kind": "student"}, {"kind": "guardian"}

app_name = "students"
urlpatterns = [
    path("students/", student_list, name="list"),
    path("students/new/", student.add, name="add"),
    path("students/<int:pk>/", student.student, name="student"),
    path("students/<int:pk>/edit/", student.edit, name="edit"),
    path("students/<int:pk>/archive/", student.archive, name="archive"),
    path("students/<int:pk>/invite/", invite.invite, STUDENT, name="invite"),
    path("students/<int:pk>/invite/withdraw/", invite.withdraw, STUDENT, name="withdraw"),
    path("students/<int:pk>/arrived/", invite.arrived, STUDENT, name="arrived"),
    path("students/<int:pk>/guardians/new/", guardian.add_guardian, name="add_guardian"),
    path("guardians/<int:pk>/edit/", guardian.edit_guardian, name="edit_guardian"),
    path("guardians/<int:pk>/remove/", guardian.remove_guardian, name="remove_guardian"),
    path("guardians/<int:pk>/invite/", invite.invite, GUARDIAN, name="invite_guardian"),
    path(
        "guardians/<int:pk>/invite/withdraw/", invite.withdraw, GUARDIAN, name="withdraw_guardian"
    ),
    path("guardians/<int:pk>/arrived/", invite.arrived, GUARDIAN, name="guardian_arrived"),
    path("guardians/<int:pk>/consent/", consent.consent, name="consent"),
    path("guardians/<int:pk>/consent/withdraw/", consent.withdraw_own, name="withdraw_consent"),
    path("guardians/<int:pk>/consent/paper/", consent.paper, name="paper"),
    path(
        "guardians/<int:pk>/consent/withdrawn/", consent.record_withdrawal, name="record_withdrawal"
    ),
]
