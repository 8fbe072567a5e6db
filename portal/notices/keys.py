"""The site's key for push services (VAPID, RFC 8292): from the settings, or made once."""

from __future__ import annotations

import base64
import os
import secrets
from email.utils import parseaddr
from pathlib import Path

from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat
from django.conf import settings
from py_vapid import Vapid02

KEY_BYTES = 32


def b64(data: bytes) -> str:
    """base64url without padding, as the push standards write keys."""
    return base64.urlsafe_b64encode(data).rstrip(b"=").decode()


def unb64(text: str) -> bytes:
    """The bytes of base64url, with or without padding. Raises ValueError."""
    return base64.b64decode(text + "=" * (-len(text) % 4), altchars=b"-_", validate=True)


def private_key() -> ec.EllipticCurvePrivateKey:
    """The site's key on P-256. Without CARRYOVER_PUSH_KEY it is made once in the data folder."""
    text = settings.PUSH_KEY or _kept(settings.DATA_DIR / "push_key")
    return ec.derive_private_key(int.from_bytes(unb64(text)), ec.SECP256R1())


def vapid() -> Vapid02:
    """The key as the push library wants it."""
    return Vapid02(private_key())


def public_key() -> str:
    """What a browser is told: the uncompressed point, base64url."""
    point = private_key().public_key().public_bytes(Encoding.X962, PublicFormat.UncompressedPoint)
    return b64(point)


def contact() -> str:
    """Where a push service reaches the host (the claim `sub`): RFC 8292 wants mailto or https."""
    if settings.SITE_URL.startswith("https://"):
        return settings.SITE_URL
    return f"mailto:{parseaddr(settings.DEFAULT_FROM_EMAIL)[1]}"


def _kept(path: Path) -> str:
    if not path.exists():
        made = path.with_name(f"push_key.{os.getpid()}.{secrets.token_hex(4)}")
        made.touch(mode=0o600)
        # One of 2**32 random numbers is no key of this curve; deriving it would say so at once
        made.write_text(b64(secrets.token_bytes(KEY_BYTES)))
        try:
            os.link(made, path)  # whole or not at all, and the first of two makers wins
        except FileExistsError:
            pass
        finally:
            made.unlink()
    return path.read_text().strip()
