"""What a worker does for notices: tell those whose quiet hours are over, send pushes."""

from __future__ import annotations

from celery import shared_task
from django.db import transaction
from django.utils import timezone

from portal.notices.kinds import is_kind, kind_named
from portal.notices.models import HeldNotice, Push, Subscription
from portal.notices.pushing import NotSent, send_push
from portal.notices.telling import may_be_told, send_out
from portal.work.lease import claimed
from portal.work.sending import does_work


class _LeaseLost(Exception):
    """Another worker has taken the row: what was written is rolled back."""


@does_work(HeldNotice)
@shared_task
def tell_held(pk: int) -> None:
    """Tell one held notice, by the person's switches as they stand now; once."""
    if not HeldNotice.objects.filter(pk=pk, due_at__lte=timezone.now()).exists():
        return
    with claimed(HeldNotice, pk) as lease:
        if lease is None:
            return
        held = HeldNotice.objects.select_related("user").get(pk=pk)
        try:
            with transaction.atomic():
                # The rows and the outcome together, so that nobody is told twice
                if not lease.settle(HeldNotice.State.TOLD, text=""):
                    raise _LeaseLost
                if is_kind(held.kind) and may_be_told(held.user):
                    words = (held.letter, held.subject, held.text, held.url)
                    send_out(held.user, kind_named(held.kind), *words)
        except _LeaseLost:
            return


@does_work(Push)
@shared_task
def push(pk: int) -> None:
    """Send one push; a service that is away delays it a day at most, a browser gone is removed."""
    with claimed(Push, pk) as lease:
        if lease is None:
            return
        message = Push.objects.select_related("subscription", "user").get(pk=pk)
        browser = Subscription.objects.live(message.user).filter(pk=message.subscription_id).first()
        if browser is None:
            lease.settle(Push.State.FAILED, reason="The browser is signed out.")
            return
        try:
            send_push(message, browser)
        except NotSent as trouble:
            is_fresh = message.created_at > timezone.now() - Push.LIFE
            if trouble.later and is_fresh:
                lease.put_back(reason=str(trouble))
            else:
                lease.settle(Push.State.FAILED, reason=str(trouble))
            if trouble.gone:
                browser.delete()
            return
        lease.settle(Push.State.SENT, reason="")
