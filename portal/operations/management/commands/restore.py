"""`manage.py restore FILE`: a backup into an empty site."""

from __future__ import annotations

from pathlib import Path

from django.core.management.base import BaseCommand, CommandError, CommandParser

from portal.operations import site
from portal.operations.keeping import CannotKeep, restore


class Command(BaseCommand):
    help = "Restores a backup into an empty site; the database is made first."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", type=Path)

    def handle(self, *args: object, file: Path, **options: object) -> None:
        site.make_ready()
        try:
            kept = restore(file, self.stdout.write)
        except CannotKeep as error:
            raise CommandError(str(error)) from error
        self.stdout.write(f"Restored {kept.rows} rows and {kept.files} files.")
