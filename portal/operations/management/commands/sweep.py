"""`manage.py sweep`: send forgotten work again; with --files, clear what nothing refers to."""

from __future__ import annotations

from django.core.management.base import BaseCommand, CommandParser

from portal.files.local import OWNERLESS_AFTER_S, sweep_scratch
from portal.operations.stored import remove_orphans
from portal.work.sending import sweep


class Command(BaseCommand):
    help = "Sends lost work again. With --files, removes stored files that no row refers to."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--files", action="store_true", help="also clear orphan files")
        parser.add_argument(
            "--older-than-hours",
            type=float,
            default=24.0,
            help="only files of this age, since newer ones may be on their way (24)",
        )

    def handle(
        self, *args: object, files: bool, older_than_hours: float, **options: object
    ) -> None:
        for kind, count in sweep().items():
            self.stdout.write(f"{kind}: {count} sent again")
        if files:
            count, size = remove_orphans(older_than_s=older_than_hours * 3600)
            self.stdout.write(f"files: {count} removed, {size / 1e6:.1f} MB")
            left = sweep_scratch(ownerless_after_s=min(OWNERLESS_AFTER_S, older_than_hours * 3600))
            self.stdout.write(f"scratch: {left} removed")
