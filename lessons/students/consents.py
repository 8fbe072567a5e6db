"""A guardian's consent that a junior is filmed: giving, recording, withdrawing it."""

from __future__ import annotations

import datetime

from django.conf import settings
from django.db import transaction
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone

from lessons.students.models import Consent, Guardian
from portal.accounts.models import User
from portal.notices.telling import tell


def consent_text(guardian: Guardian) -> str:
    """What the guardian agrees to, in plain paragraphs; kept word for word with the consent."""
    student = guardian.student
    values = {"guardian": guardian, "student": student, "coach": student.coach}
    return render_to_string("students/consent.txt", values).strip()


@transaction.atomic
def give_consent(guardian: Guardian, user: User, text: str) -> bool:
    """The guardian agrees on screen. False if the consent holds already; then nothing changes."""
    today = timezone.localdate()
    if not _hold(guardian, text, f"{user.name}, signed in"):
        return False
    _remember(guardian, Consent.What.GIVEN, user, day=today, text=text)
    _tell_coach(guardian, "students/consent_given", user)
    return True


@transaction.atomic
def record_paper_consent(
    guardian: Guardian, coach: User, *, signed_on: datetime.date, note: str
) -> bool:
    """The coach holds a signed paper. False if a consent holds already."""
    if not _hold(guardian, note, f"on paper, recorded by {coach.name}"):
        return False
    _remember(guardian, Consent.What.ON_PAPER, coach, day=signed_on, note=note)
    return True


@transaction.atomic
def withdraw_consent(guardian: Guardian, user: User, note: str = "") -> bool:
    """Uploads stop from now on, and the coach is told. False if there is none to withdraw."""
    withdrawn = Guardian.objects.consenting().filter(pk=guardian.pk)
    if not withdrawn.update(withdrawn_at=timezone.now()):
        return False
    _remember(guardian, Consent.What.WITHDRAWN, user, day=timezone.localdate(), note=note)
    _tell_coach(guardian, "students/consent_withdrawn", user)
    return True


def _hold(guardian: Guardian, text: str, given_by: str) -> bool:
    not_held = Guardian.objects.filter(pk=guardian.pk).exclude(
        consented_at__isnull=False, withdrawn_at__isnull=True
    )
    return bool(
        not_held.update(
            consented_at=timezone.now(),
            consent_text=text,
            consent_given_by=given_by,
            withdrawn_at=None,
        )
    )


def _remember(
    guardian: Guardian,
    what: Consent.What,
    user: User,
    *,
    day: datetime.date,
    text: str = "",
    note: str = "",
) -> None:
    Consent.objects.create(
        guardian=guardian, what=what, day=day, by=user, by_name=user.name, text=text, note=note
    )


def _tell_coach(guardian: Guardian, kind: str, user: User) -> None:
    coach = guardian.student.coach
    if user == coach:
        return
    page = reverse("students:student", args=[guardian.student_id])
    url = settings.SITE_URL + page
    values = {"coach": coach, "guardian": guardian, "student": guardian.student, "url": url}
    tell(coach, "consent", kind, values, page)
