"""Inviting one person, by letter or on a screen, and taking them in."""

from __future__ import annotations

import datetime

from allauth.mfa.models import Authenticator
from django.conf import settings
from django.db import transaction
from django.urls import reverse
from django.utils import timezone

from portal.accounts.links import forget_links, prove_address
from portal.accounts.models import Invitation, User, hash_of, new_salt
from portal.accounts.signals import invitation_accepted
from portal.mail.sending import post_letter

# A code on a screen is scanned at once; a letter may lie for days (settings.INVITATION_DAYS)
SCREEN_LIFE = datetime.timedelta(minutes=15)


class CannotAccept(Exception):
    """Why this person can't accept this invitation, as a sentence for them."""


class SpentInvitation(CannotAccept):
    """It was used, withdrawn or has expired."""


class SignInFirst(CannotAccept):
    """The address has an account already, and a code on a screen doesn't prove it is theirs."""


@transaction.atomic
def invite(
    coach: User,
    subject: str,
    *,
    role: str,
    name: str,
    email: str,
    way: Invitation.Way,
    leads_to: str = "/",
) -> str:
    """Invite one person; earlier invitations of the same subject stop working.

    Returns the absolute address of the invitation. By letter it is also sent to `email`.
    """
    withdraw_invitations(subject)
    by_letter = way == Invitation.Way.LETTER
    life = datetime.timedelta(days=settings.INVITATION_DAYS) if by_letter else SCREEN_LIFE
    token = Invitation.new_token()
    invitation = Invitation.objects.create(
        token_hash=hash_of(token),
        expires_at=timezone.now() + life,
        email=email.lower(),
        name=name,
        role=role,
        subject=subject,
        way=way,
        leads_to=leads_to,
        invited_by=coach,
    )
    url = settings.SITE_URL + reverse("accounts:invitation", args=[token])
    if by_letter:
        post_letter("accounts/invitation", invitation.email, {"invitation": invitation, "url": url})
    return url


def withdraw_invitations(subject: str) -> int:
    """Make the open invitations of a subject worthless; returns how many there were."""
    return Invitation.objects.open().filter(subject=subject).update(withdrawn_at=timezone.now())


@transaction.atomic
def accept_invitation(invitation: Invitation, token: str, signed_in: User | None) -> User:
    """Use the invitation up and return the person it lets in, made if need be.

    Raises CannotAccept, and then the invitation stays as it was. Two at once: one wins.
    """
    if not Invitation.use(token):
        raise SpentInvitation(f"This invitation has been used. Ask {invitation.invited_by}.")
    user = _person_for(invitation, signed_in)
    Invitation.objects.filter(pk=invitation.pk).update(accepted_by=user)
    invitation_accepted.send(sender=Invitation, invitation=invitation, user=user)
    return user


def _person_for(invitation: Invitation, signed_in: User | None) -> User:
    proven = invitation.way == Invitation.Way.LETTER
    user, made = User.objects.get_or_create(
        email=invitation.email,
        defaults={
            "name": invitation.name,
            "role": invitation.role,
            "time_zone": invitation.invited_by.time_zone,
        },
    )
    if made:
        user.set_unusable_password()
        user.save(update_fields=["password"])
    elif user.role != invitation.role or not user.is_active:
        raise CannotAccept(
            f"{invitation.email} already belongs to another kind of account here. "
            f"Ask {invitation.invited_by} to invite you at another address."
        )
    elif not proven and signed_in != user:
        raise SignInFirst(
            f"{invitation.email} already has an account here. Sign in, then open the code again."
        )
    elif proven and signed_in != user:
        _hand_over(user)
    if proven:
        prove_address(user)
    return user


def _hand_over(user: User) -> None:
    """Shut out whoever opened this account without proving its address, before its owner."""
    if user.address_proven_at is None:
        Authenticator.objects.filter(user=user).delete()
        forget_links(user)
        user.set_unusable_password()
        user.sessions_salt = new_salt()
        user.save(update_fields=["password", "sessions_salt"])
