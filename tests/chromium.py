"""How Debian's Chromium is started: as root in a closed network, too."""

from __future__ import annotations

import shutil

FLAGS = [
    "--headless=new",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


def lightest() -> str:
    """The program for pages alone: Chromium without a desktop's interface, where it is installed.

    It takes half the processor time. It shows no notifications; what needs those, or a profile
    that outlives the browser, is driven by `chromium` itself.
    """
    return next(filter(shutil.which, ("chromium-headless-shell", "chromium")), "chromium")
