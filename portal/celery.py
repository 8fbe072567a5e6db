"""The Celery application. Tasks carry a primary key and nothing else; rows hold the truth."""

from __future__ import annotations

import os

from celery import Celery

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "portal.settings")
app = Celery("carryover")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks()
