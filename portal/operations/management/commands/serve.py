"""`manage.py serve`: the whole site in one command, no server to install."""

from __future__ import annotations

from urllib.parse import urlsplit

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser

from portal.accounts.first_run import needs_first_coach, setup_url
from portal.operations import site
from portal.operations.family import Family


class Command(BaseCommand):
    help = "Runs web, workers and beat until Ctrl-C. The database is brought up to date first."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--host", default="127.0.0.1", help="address to listen on")
        parser.add_argument("--port", type=int, help="port; without it, the one of CARRYOVER_URL")

    def handle(self, *args: object, host: str, port: int | None, **options: object) -> None:
        port = port or urlsplit(settings.SITE_URL).port or 8000
        if not site.port_is_free(host, port):
            raise CommandError(
                f"Port {port} on {host} is taken by another program. Stop it, or choose another: "
                f"manage.py serve --port {port + 1}"
            )
        site.make_ready()
        family = Family(
            site.children(host, port),
            site.environment(settings.SITE_URL),
            self.stderr.write,
            is_up=lambda: site.answers(host, port),
            once_up=self.welcome,
        )
        family.run()
        self.stdout.write("Carryover has ended.")

    def welcome(self) -> None:
        self.stdout.write(f"Carryover runs at {settings.SITE_URL}  (Ctrl-C ends it)")
        if needs_first_coach():
            self.stdout.write(f"Make the coach's account at {setup_url()}")
        self.stdout.flush()
