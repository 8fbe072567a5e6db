"""`manage.py make_coach EMAIL NAME`: a coach, and a link that signs them in."""

from __future__ import annotations

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.core.validators import validate_email

from portal.accounts.first_run import make_coach
from portal.accounts.links import sign_in_url
from portal.accounts.models import User


class Command(BaseCommand):
    help = "Makes a coach, or finds the one with that address, and prints a sign-in link."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("email", help="the address the coach signs in with")
        parser.add_argument("name", help="as students know the coach")

    def handle(self, *args: object, email: str, name: str, **options: object) -> None:
        try:
            validate_email(email)
        except ValidationError as error:
            raise CommandError(f"{email} is no e-mail address.") from error
        coach = User.objects.filter(email=email.lower()).first()
        if coach is None:
            coach = make_coach(email, name, time_zone=settings.TIME_ZONE)
            self.stdout.write(f"{coach.name} is a coach now.")
        elif not coach.is_coach:
            raise CommandError(f"{coach.email} belongs to the {coach.role} {coach.name} already.")
        else:
            self.stdout.write(f"{coach.name} was a coach already; the name is left as it is.")
        self.stdout.write("This link signs them in, once, within 14 days:")
        self.stdout.write(sign_in_url(coach))
