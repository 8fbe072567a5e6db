"""`tell`: one notice to one person, as they want it."""

from __future__ import annotations

import datetime
import zoneinfo
from enum import Enum

from django.conf import settings
from django.utils import timezone

from portal.accounts.middleware import time_zone_of
from portal.accounts.models import User
from portal.mail.sending import queue_letter, render_letter
from portal.notices.kinds import Kind, kind_named
from portal.notices.minding import minders_of
from portal.notices.models import HeldNotice, Permission, Push, QuietHours, Subscription, Switch
from portal.notices.quiet import quiet_until
from portal.notices.unsubscribing import headers, off_url
from portal.work.sending import send

LONGEST_BODY = Push._meta.get_field("body").max_length


class Told(Enum):
    """What became of a notice."""

    NOW = "now"
    LATER = "later"  # when the quiet hours end
    NOT = "not"  # switched off, or a junior without a guardian's yes


def tell(user: User, kind: str, letter: str, context: dict[str, object], url: str) -> Told:
    """Tell a person something, by letter and by push, as far as they want it; once per call.

    `letter` names the letter's template as `post_letter` does, `context` is what it is rendered
    with; its subject is what a push says. `url` is the path of the page that a push opens. Goes
    out after the commit; in quiet hours when they end, by the switches as they stand then.
    """
    wanted = kind_named(kind)
    if not wants(user, kind):
        return Told.NOT
    subject, text = render_letter(letter, context)
    until = quiet_end(user, timezone.now())
    if until is not None:
        HeldNotice.objects.create(
            user=user,
            kind=kind,
            letter=letter,
            subject=subject,
            text=text,
            url=url,
            due_at=until,
        )
        return Told.LATER
    send_out(user, wanted, letter, subject, text, url)
    return Told.NOW


def send_out(user: User, kind: Kind, letter: str, subject: str, text: str, url: str) -> None:
    """Write the rows of the letter and the pushes that the person wants now."""
    by_letter, by_push = ways(user, kind)
    if by_letter and kind.always_by_letter:
        queue_letter(letter, user.email, subject, text)
    elif by_letter:
        off = off_url(user, kind.name)
        footer = f"\n\n--\nNo more letters like this one, in one click:\n{off}"
        queue_letter(letter, user.email, subject, text + footer, headers(off))
    if by_push:
        for browser in Subscription.objects.live(user):
            body = subject[:LONGEST_BODY]
            send(
                Push.objects.create(
                    subscription=browser, user=user, title="Carryover", body=body, url=url
                )
            )


def wants(user: User, kind: str) -> bool:
    """Whether `tell` would tell the person, now or when their quiet hours end."""
    return may_be_told(user) and any(ways(user, kind_named(kind)))


def ways(user: User, kind: Kind) -> tuple[bool, bool]:
    """Whether the person wants this kind by letter, and by push."""
    switch = Switch.objects.filter(user=user, kind=kind.name).first()
    by_letter, by_push = (switch.by_letter, switch.by_push) if switch else (True, True)
    return by_letter or kind.always_by_letter, by_push


def may_be_told(user: User) -> bool:
    """Whether somebody who is minded has the yes of those who mind them; others may be told."""
    minders = minders_of(user)
    if minders is None:
        return True
    said = Permission.objects.filter(user=user, by__in=minders).first()
    return said is not None and said.allowed


def quiet_end(user: User, now: datetime.datetime) -> datetime.datetime | None:
    """When the person's quiet hours that hold now will end; None if none hold."""
    hours = QuietHours.objects.filter(user=user).first()
    if hours is None:
        return None
    zone = time_zone_of(user.time_zone) or zoneinfo.ZoneInfo(settings.TIME_ZONE)
    return quiet_until(now, zone, hours.begin, hours.end)


def permit(ward: User, by: User, *, allowed: bool) -> None:
    """Put a guardian's yes or no on record; repeating the one that stands adds nothing."""
    last = Permission.objects.filter(user=ward, by=by).first()
    if last is None or last.allowed != allowed:
        Permission.objects.create(user=ward, by=by, by_name=by.name, allowed=allowed)


def switch(user: User, kind: str, *, by_letter: bool, by_push: bool) -> None:
    """Set both switches of a kind."""
    values = {"by_letter": by_letter, "by_push": by_push}
    Switch.objects.update_or_create(user=user, kind=kind, defaults=values)


def switch_letters(user: User, kind: str, on: bool) -> None:
    """Switch the letters of a kind; its pushes stay as they are."""
    Switch.objects.update_or_create(user=user, kind=kind, defaults={"by_letter": on})
