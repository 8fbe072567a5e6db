"""The site's own settings, with addresses that show stored files by name."""

from portal.settings import *  # noqa: F403

ROOT_URLCONF = "tests.files.real_site.urls"
