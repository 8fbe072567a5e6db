"""`manage.py make_ready`: what has to be done before the parts of a site start."""

from __future__ import annotations

from django.core.management.base import BaseCommand

from portal.operations import site


class Command(BaseCommand):
    help = "Brings the database up to date, collects static files, makes the store's bucket."

    def handle(self, *args: object, **options: object) -> None:
        site.make_ready()
        self.stdout.write("The site is ready to start.")
