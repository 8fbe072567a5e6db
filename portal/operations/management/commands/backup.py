"""`manage.py backup [FILE]`: every row and every file in one archive."""

from __future__ import annotations

from pathlib import Path

from django.core.management.base import BaseCommand, CommandError, CommandParser

from portal.operations.keeping import CannotKeep, back_up, default_target


class Command(BaseCommand):
    help = "Writes all rows and files to one archive, while the site runs. Keep it off this disk."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "file", nargs="?", type=Path, help="default: backups/ in the data folder"
        )

    def handle(self, *args: object, file: Path | None, **options: object) -> None:
        target = file or default_target()
        try:
            kept = back_up(target, self.stdout.write)
        except CannotKeep as error:
            raise CommandError(str(error)) from error
        for name in kept.missing:
            self.stderr.write(f"missing in the store, left out: {name}")
        self.stdout.write(f"{kept.files} files, {kept.file_bytes / 1e6:.1f} MB, in {target}")
