"""`manage.py demo`: the whole site with an invented coach and students, in one command."""

from __future__ import annotations

import time
from urllib.parse import urlsplit

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser

from portal.accounts.links import sign_in_url
from portal.accounts.models import User
from portal.files.local import scratch_folder
from portal.operations import site
from portal.operations.demo.films import shoot
from portal.operations.demo.people import forget_people, make_people
from portal.operations.demo.pictures import put_in
from portal.operations.demo.words import ASHA, COACH, GROUND, TOBIAS
from portal.operations.family import Family


class Command(BaseCommand):
    help = "Fills an empty data folder with the demo once, then runs the site until Ctrl-C."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--fill-only", action="store_true", help="make the demo and stop")

    def handle(self, *args: object, fill_only: bool, **options: object) -> None:
        host, port = "127.0.0.1", urlsplit(settings.SITE_URL).port or 8000
        if not fill_only and not site.port_is_free(host, port):
            raise CommandError(
                f"Port {port} is taken by another program. Choose another: "
                f"make demo PORT={port + 1}"
            )
        site.make_ready()
        self.fill()
        if fill_only:
            return
        family = Family(
            site.children(host, port),
            site.environment(settings.SITE_URL),
            self.stderr.write,
            is_up=lambda: site.answers(host, port),
            once_up=self.welcome,
        )
        family.run()
        self.stdout.write("The demo has ended. What was typed is kept; `make demo` goes on.")

    def fill(self) -> None:
        """Make the demo if it is not there. A fill that was cut off begins again."""
        made = settings.DATA_DIR / "demo-is-made"
        if made.exists():
            return
        if User.objects.exclude(email=COACH[1]).filter(role=User.Role.COACH).exists():
            raise CommandError(
                f"{settings.DATA_DIR} holds a site of its own already; the demo leaves it alone. "
                "Set CARRYOVER_DATA to another folder."
            )
        self.stdout.write(f"Making {GROUND}: about two minutes, once.")
        started = time.monotonic()
        forget_people()
        coach = make_people()
        with scratch_folder() as folder:
            films = shoot(folder, lambda n, of: self.say(f"films drawn: {n} of {of}"))
            put_in(coach, films, lambda n, of: self.say(f"clips prepared: {n} of {of}"))
        made.touch()
        self.stdout.write(f"Made in {time.monotonic() - started:.0f} s.")

    def welcome(self) -> None:
        """Say where the site is, and give each person a link of their own."""
        people = ((COACH[1], "coach"), (TOBIAS.email, "student"), (ASHA.guardian[1], "guardian"))
        self.stdout.write(f"\n{GROUND} is open at {settings.SITE_URL}\n\nSign in as\n")
        for email, role in people:
            user = User.objects.get(email=email)
            self.stdout.write(f"  {role:9}{user.name:14}{sign_in_url(user)}")
        self.stdout.write(
            "\nEach link works once; the next `make demo` prints new ones. Letters that the site "
            f"writes\nare kept in {settings.DATA_DIR / 'letters'}. Ctrl-C ends the demo.\n"
        )
        self.stdout.flush()

    def say(self, line: str) -> None:
        self.stdout.write(f"  {line}")
        self.stdout.flush()
