"""The site's settings, with stages at which a worker waits to be killed, and a store that fails."""

from __future__ import annotations

import portal.settings
from portal.settings import *  # noqa: F403

INSTALLED_APPS = [*portal.settings.INSTALLED_APPS, "tests.faults.apps.FaultsConfig"]
STORAGES = {
    **portal.settings.STORAGES,
    "default": {
        "BACKEND": "tests.faults.storage.FaultyStorage",
        "OPTIONS": portal.settings.STORAGES["default"]["OPTIONS"],
    },
}
