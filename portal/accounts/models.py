"""Who signs in, and the invitations and links that let them in."""

from __future__ import annotations

import hashlib
import secrets
from typing import ClassVar

from django.contrib.auth.models import AbstractBaseUser, AnonymousUser, BaseUserManager
from django.db import models
from django.utils import timezone
from django.utils.crypto import salted_hmac


class UserManager(BaseUserManager["User"]):
    def create_user(
        self, email: str, name: str, role: str, password: str | None = None, **extra: object
    ) -> User:
        """Make a person; without a password they sign in by code, link or passkey."""
        user = self.model(email=self.normalize_email(email).lower(), name=name, role=role, **extra)
        user.set_password(password)
        user.save(using=self._db)
        return user


def new_salt() -> str:
    return secrets.token_hex(16)


class User(AbstractBaseUser):
    """A person. Signs in by e-mail address; sees what their role lets them see."""

    class Role(models.TextChoices):
        COACH = "coach"
        STUDENT = "student"
        GUARDIAN = "guardian"

    email = models.EmailField(unique=True)
    name = models.CharField(max_length=120)
    role = models.CharField(max_length=10, choices=Role)
    time_zone = models.CharField(max_length=64, blank=True)
    is_active = models.BooleanField(default=True)
    created_at = models.DateTimeField(auto_now_add=True)
    # Since when they are known to read the letters sent to their address
    address_proven_at = models.DateTimeField(null=True, editable=False)
    # Part of what a session is checked against: a new salt signs out every phone
    sessions_salt = models.CharField(max_length=32, default=new_salt, editable=False)

    USERNAME_FIELD = "email"
    EMAIL_FIELD = "email"
    REQUIRED_FIELDS: ClassVar[list[str]] = ["name", "role"]
    objects = UserManager()

    def __str__(self) -> str:
        return self.name

    @property
    def is_coach(self) -> bool:
        return self.role == self.Role.COACH

    def get_full_name(self) -> str:
        return self.name

    def get_short_name(self) -> str:
        return self.name.partition(" ")[0]

    def get_session_auth_hash(self) -> str:
        """What a session is checked against: the password, and the salt of its sessions."""
        value = f"{self.password}:{self.sessions_salt}"
        return salted_hmac("portal.accounts.User.sessions", value, algorithm="sha256").hexdigest()


def hash_of(token: str) -> str:
    """What is stored of a token: a stolen database opens no door."""
    return hashlib.sha256(token.encode()).hexdigest()


class OneUse(models.Model):
    """A secret that works once, for one person, until a time."""

    token_hash = models.CharField(max_length=64, unique=True, editable=False)
    expires_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True)
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        abstract = True

    @property
    def is_open(self) -> bool:
        return self.used_at is None and self.expires_at > timezone.now()

    @staticmethod
    def new_token() -> str:
        return secrets.token_urlsafe(32)

    @classmethod
    def use(cls, token: str) -> bool:
        """Use it up; False if it is unknown, used or expired. Two at once: one wins."""
        return bool(
            cls._default_manager.filter(
                token_hash=hash_of(token), used_at__isnull=True, expires_at__gt=timezone.now()
            ).update(used_at=timezone.now())
        )


class InvitationQuerySet(models.QuerySet["Invitation"]):
    def visible_to(self, user: User | AnonymousUser) -> InvitationQuerySet:
        """Whoever invited sees the invitation; the invited person has only its token."""
        return self.filter(invited_by=user) if isinstance(user, User) else self.none()

    def open(self) -> InvitationQuerySet:
        return self.filter(
            used_at__isnull=True, withdrawn_at__isnull=True, expires_at__gt=timezone.now()
        )


class Invitation(OneUse):
    """Lets one person in for the first time. `subject` says for whom, e.g. 'student:7'."""

    class Way(models.TextChoices):
        """How the invitation reaches the person; only a letter proves their address."""

        LETTER = "letter"
        SCREEN = "screen"

    class State(models.TextChoices):
        OPEN = "open"
        USED = "used"
        EXPIRED = "expired"
        WITHDRAWN = "withdrawn"

    email = models.EmailField()
    name = models.CharField(max_length=120)
    role = models.CharField(max_length=10, choices=User.Role)
    subject = models.CharField(max_length=60, db_index=True)
    way = models.CharField(max_length=6, choices=Way, default=Way.LETTER)
    leads_to = models.CharField(max_length=200, default="/")
    invited_by = models.ForeignKey(User, models.CASCADE, related_name="invitations")
    accepted_by = models.ForeignKey(User, models.SET_NULL, null=True, related_name="+")
    withdrawn_at = models.DateTimeField(null=True)

    objects = InvitationQuerySet.as_manager()

    class Meta:
        ordering = ["-created_at", "-pk"]

    def __str__(self) -> str:
        return f"invitation of {self.name}"

    @property
    def state(self) -> State:
        """Where it stands now. A used one stays used, a withdrawn one stays withdrawn."""
        if self.used_at:
            return self.State.USED
        if self.withdrawn_at:
            return self.State.WITHDRAWN
        return self.State.OPEN if self.expires_at > timezone.now() else self.State.EXPIRED

    @classmethod
    def use(cls, token: str) -> bool:
        """Use it up; False if it is unknown, used, withdrawn or expired."""
        return bool(
            cls.objects.open().filter(token_hash=hash_of(token)).update(used_at=timezone.now())
        )


class SignInLink(OneUse):
    """Signs a known person in on the phone that opens it, and leads to a page."""

    user = models.ForeignKey(User, models.CASCADE, related_name="sign_in_links")
    leads_to = models.CharField(max_length=200, default="/")

    def __str__(self) -> str:
        return f"sign-in link of {self.user}"
