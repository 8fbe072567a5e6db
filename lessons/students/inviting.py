"""Inviting students and guardians, and linking them once they accept."""

from __future__ import annotations

from django.db import transaction
from django.dispatch import receiver
from django.urls import reverse

from lessons.students.models import Guardian, Student
from portal.accounts.invitations import CannotAccept, invite, withdraw_invitations
from portal.accounts.models import Invitation, User
from portal.accounts.signals import invitation_accepted

Person = Student | Guardian
KINDS: dict[str, type[Person]] = {"student": Student, "guardian": Guardian}


class CannotInvite(Exception):
    """Why this person can't be invited, as a sentence for the coach."""


def invite_person(person: Person, coach: User, way: Invitation.Way) -> str:
    """Invite a student or a guardian; returns the address of the invitation."""
    if person.user_id:
        raise CannotInvite(f"{person.name} has signed in already.")
    if not person.email:
        raise CannotInvite(f"Write down an e-mail address for {person.name} first.")
    known = User.objects.filter(email=person.email.lower()).first()
    role = User.Role.STUDENT if isinstance(person, Student) else User.Role.GUARDIAN
    if known and (known.role != role or (role == User.Role.STUDENT and hasattr(known, "student"))):
        raise CannotInvite(
            f"{person.email} belongs to another account here. "
            f"Ask {person.name} for another address."
        )
    leads_to = "/"
    if isinstance(person, Guardian):
        leads_to = reverse("students:consent", args=[person.pk])
    return invite(
        coach,
        person.subject,
        role=role,
        name=person.name,
        email=person.email,
        way=way,
        leads_to=leads_to,
    )


def withdraw_invitation(person: Person) -> bool:
    return bool(withdraw_invitations(person.subject))


def latest_invitation(person: Person) -> Invitation | None:
    return Invitation.objects.filter(subject=person.subject).first()


@receiver(invitation_accepted)
@transaction.atomic
def link_person(invitation: Invitation, user: User, **kwargs: object) -> None:
    """Link the account to the student or guardian it was made for. Runs in the acceptance."""
    kind, _, pk = invitation.subject.partition(":")
    if kind not in KINDS:
        return
    if kind == "student" and Student.objects.filter(user=user).exclude(pk=pk).exists():
        raise CannotAccept(
            f"{user.email} already reads the lessons of another student here. "
            f"Ask {invitation.invited_by} to invite you at another address."
        )
    if not KINDS[kind].objects.filter(pk=pk, user__isnull=True).update(user=user):
        raise CannotAccept(f"This invitation is for nobody any more. Ask {invitation.invited_by}.")
