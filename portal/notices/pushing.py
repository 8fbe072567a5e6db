"""Sending one push message: encrypted for the browser (RFC 8291), signed by the site (RFC 8292)."""

from __future__ import annotations

import ipaddress
import json
import socket
from urllib.parse import urlsplit

import requests
from django.conf import settings
from pywebpush import WebPushException, webpush

from portal.notices import keys
from portal.notices.models import Push, Subscription

SECONDS = 15
GONE = {404, 410}  # RFC 8030, section 7.3: the subscription is no more
LATER = {408, 429}


class NotSent(Exception):
    """A push that a service did not take; `gone` for good, or `later` once more."""

    def __init__(self, reason: str, *, gone: bool = False, later: bool = False) -> None:
        super().__init__(reason)
        self.gone = gone
        self.later = later


def send_push(push: Push, subscription: Subscription) -> None:
    """Hand one message to the browser's push service. Raises NotSent."""
    check_address(subscription.endpoint)
    message = {"title": push.title, "body": push.body, "url": push.url, "tag": f"push-{push.pk}"}
    keys_of_browser = {"p256dh": subscription.p256dh, "auth": subscription.auth}
    session = requests.Session()
    session.max_redirects = 0  # the address was checked, another one was not
    session.trust_env = False
    try:
        with session:
            webpush(
                {"endpoint": subscription.endpoint, "keys": keys_of_browser},
                json.dumps(message, ensure_ascii=False),
                vapid_private_key=keys.vapid(),
                vapid_claims={"sub": keys.contact()},
                ttl=int(Push.LIFE.total_seconds()),
                timeout=SECONDS,
                requests_session=session,
            )
    except WebPushException as error:
        raise refused(error) from error
    except requests.TooManyRedirects as error:
        raise NotSent("The push service sent us elsewhere.") from error
    except requests.RequestException as error:
        raise NotSent(str(error), later=True) from error


def refused(error: WebPushException) -> NotSent:
    """What a push service's answer means for the message."""
    status = error.response.status_code if error.response is not None else 0
    later = status in LATER or status >= 500
    return NotSent(f"status {status}", gone=status in GONE, later=later)


def check_address(endpoint: str) -> None:
    """A browser names the address, so it must not lead into the host's own network."""
    parts = urlsplit(endpoint)
    if settings.PUSH_TO_LOCAL:
        return
    if parts.scheme != "https" or not parts.hostname:
        raise NotSent("A push service has an https address.", gone=True)
    try:
        found = socket.getaddrinfo(parts.hostname, parts.port or 443, type=socket.SOCK_STREAM)
    except OSError as error:
        raise NotSent(str(error), later=True) from error
    if not all(ipaddress.ip_address(entry[4][0]).is_global for entry in found):
        raise NotSent("The address leads into a private network.", gone=True)
