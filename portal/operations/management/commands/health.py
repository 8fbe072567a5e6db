"""`manage.py health`: looks the site over and says what is not well."""

from __future__ import annotations

import sys

from django.core.management.base import BaseCommand

from portal.operations.health import look_over


class Command(BaseCommand):
    help = "Looks over database, broker, files and disk. Exit code 1 if one is not well."

    def handle(self, *args: object, **options: object) -> None:
        found = look_over()
        for finding in found:
            word = "well" if finding.well else "NOT WELL"
            self.stdout.write(f"{finding.part:10} {word:9} {finding.seen}")
        if not all(finding.well for finding in found):
            sys.exit(1)
