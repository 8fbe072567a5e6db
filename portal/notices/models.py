"""Switches, quiet hours, permissions, browsers that take pushes, and notices under way."""

from __future__ import annotations

import datetime

from django.contrib.auth.models import AnonymousUser
from django.db import models
from django.utils import timezone

from portal.accounts.models import User, hash_of
from portal.notices.minding import wards_of
from portal.work.models import WorkRow


class OwnQuerySet(models.QuerySet):
    def visible_to(self, user: User | AnonymousUser) -> OwnQuerySet:
        """One's own, and nobody else's."""
        return self.filter(user=user) if isinstance(user, User) else self.none()


class Switch(models.Model):
    """What one person wants of one kind. Without a row: by letter and by push."""

    user = models.ForeignKey(User, models.CASCADE, related_name="notice_switches")
    kind = models.CharField(max_length=40)
    by_letter = models.BooleanField(default=True)
    by_push = models.BooleanField(default=True)

    objects = OwnQuerySet.as_manager()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["user", "kind"], name="one_switch_per_kind")]

    def __str__(self) -> str:
        return f"{self.kind} for {self.user}"


class QuietHours(models.Model):
    """When one person wants to hear nothing, in their own time zone; it may pass midnight."""

    user = models.OneToOneField(User, models.CASCADE, related_name="quiet_hours")
    begin = models.TimeField()
    end = models.TimeField()

    objects = OwnQuerySet.as_manager()

    def __str__(self) -> str:
        return f"{self.user}: quiet from {self.begin} to {self.end}"


class PermissionQuerySet(models.QuerySet["Permission"]):
    def visible_to(self, user: User | AnonymousUser) -> PermissionQuerySet:
        """What was decided for oneself, or for those for whom one decides."""
        if not isinstance(user, User):
            return self.none()
        return self.filter(user__in=[user, *wards_of(user)])


class Permission(models.Model):
    """A guardian's yes or no to notices for a junior. Never changed: the newest one counts."""

    user = models.ForeignKey(User, models.CASCADE, related_name="notice_permissions")
    allowed = models.BooleanField()
    by = models.ForeignKey(User, models.SET_NULL, null=True, related_name="+")
    by_name = models.CharField(max_length=120)
    at = models.DateTimeField(auto_now_add=True)

    objects = PermissionQuerySet.as_manager()

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return f"{'yes' if self.allowed else 'no'} to notices for {self.user}"


class SubscriptionQuerySet(OwnQuerySet):
    def live(self, user: User) -> SubscriptionQuerySet:
        """The person's browsers that are still signed in."""
        return self.filter(user=user, session_hash=hash_of(user.get_session_auth_hash()))


class Subscription(models.Model):
    """One browser that takes pushes for one person (RFC 8030, W3C Push API).

    It lives as long as that browser is signed in: signing out there, or everywhere else, ends it.
    """

    user = models.ForeignKey(User, models.CASCADE, related_name="push_subscriptions")
    endpoint = models.URLField(max_length=1000, unique=True)
    # As the browser gives them: base64url of the P-256 point and of the authentication secret
    p256dh = models.CharField(max_length=100)
    auth = models.CharField(max_length=40)
    label = models.CharField(max_length=80, blank=True)
    session_hash = models.CharField(max_length=64, editable=False)
    session_key_hash = models.CharField(max_length=64, editable=False)
    created_at = models.DateTimeField(auto_now_add=True)

    objects = SubscriptionQuerySet.as_manager()

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return f"{self.label or 'a browser'} of {self.user}"


class HeldNotice(WorkRow):
    """A notice written in somebody's quiet hours, told when they end."""

    class State(models.TextChoices):
        HELD = "held"
        TELLING = "telling"
        TOLD = "told"
        FAILED = "failed"

    WAITING, RUNNING = State.HELD, State.TELLING
    DONE, FAILED = State.TOLD, State.FAILED

    state = models.CharField(max_length=10, choices=State, default=State.HELD)
    user = models.ForeignKey(User, models.CASCADE, related_name="+")
    kind = models.CharField(max_length=40)
    letter = models.CharField(max_length=40)
    subject = models.CharField(max_length=200)
    text = models.TextField()
    url = models.CharField(max_length=300)
    due_at = models.DateTimeField(db_index=True)
    created_at = models.DateTimeField(auto_now_add=True)

    objects = OwnQuerySet.as_manager()

    def __str__(self) -> str:
        return f"{self.subject} for {self.user}, due {self.due_at}"

    @classmethod
    def lost(cls) -> models.QuerySet:
        """Only what is due: the sweep is what ends the quiet hours."""
        return super().lost().filter(due_at__lte=timezone.now())


class Push(WorkRow):
    """One push message on its way to one browser."""

    class State(models.TextChoices):
        WAITING = "waiting"
        SENDING = "sending"
        SENT = "sent"
        FAILED = "failed"

    WAITING, RUNNING = State.WAITING, State.SENDING
    DONE, FAILED = State.SENT, State.FAILED
    LIFE = datetime.timedelta(days=1)

    state = models.CharField(max_length=10, choices=State, default=State.WAITING)
    reason = models.TextField(blank=True)
    # Null once the browser is gone
    subscription = models.ForeignKey(Subscription, models.SET_NULL, null=True, related_name="+")
    user = models.ForeignKey(User, models.CASCADE, related_name="+")
    title = models.CharField(max_length=200)
    body = models.CharField(max_length=300)
    url = models.CharField(max_length=300)
    created_at = models.DateTimeField(auto_now_add=True)

    objects = OwnQuerySet.as_manager()

    def __str__(self) -> str:
        return f"push of {self.title} ({self.state})"
