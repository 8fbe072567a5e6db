"""`manage.py setup_code`: the code that opens the first run from another machine."""

from __future__ import annotations

from django.core.management.base import BaseCommand, CommandError

from portal.accounts.first_run import needs_first_coach, setup_code, setup_url


class Command(BaseCommand):
    help = "Prints the code and the address with which the first coach makes their account."

    def handle(self, *args: object, **options: object) -> None:
        if not needs_first_coach():
            raise CommandError("There is a coach already. To add one: manage.py make_coach")
        self.stdout.write(f"Setup code: {setup_code()}")
        self.stdout.write(f"Or open:    {setup_url()}")
