"""Who signs in, and the invitations and links that let them in."""

from __future__ import annotations

import hashlib
import secrets
from typing import ClassVar

from django.contrib.auth.models import AbstractBaseUser, BaseUserManager
from django.db import models
from django.utils import timezone


class UserManager(BaseUserManager["User"]):
    def create_user(
        self, email: str, name: str, role: str, password: str | None = None, **extra: object
    ) -> User:
        """Make a person; without a password they sign in by code, link or passkey."""
        user = self.model(email=self.normalize_email(email).lower(), name=name, role=role, **extra)
        user.set_password(password)
        user.save(using=self._db)
        return user


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


class Invitation(OneUse):
    """Lets one person in for the first time. `subject` says for whom, e.g. 'student:7'."""

    email = models.EmailField()
    name = models.CharField(max_length=120)
    role = models.CharField(max_length=10, choices=User.Role)
    subject = models.CharField(max_length=60)
    invited_by = models.ForeignKey(User, models.CASCADE, related_name="invitations")

    def __str__(self) -> str:
        return f"invitation of {self.name}"


class SignInLink(OneUse):
    """Signs a known person in on the phone that opens it, and leads to a page."""

    user = models.ForeignKey(User, models.CASCADE, related_name="sign_in_links")
    leads_to = models.CharField(max_length=200, default="/")

    def __str__(self) -> str:
        return f"sign-in link of {self.user}"
