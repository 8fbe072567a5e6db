"""Site-wide things: settings, accounts, files, mail, work in flight. Knows nothing of lessons."""

from portal.celery import app as celery_app

__all__ = ["celery_app"]
