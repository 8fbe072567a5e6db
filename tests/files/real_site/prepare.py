"""Make the test site's database and one signed-in coach; prints the session's key."""

from __future__ import annotations

import sys

import django
from django.core.management import call_command
from django.test import Client


def main() -> None:
    django.setup()
    from portal.accounts.models import User

    call_command("migrate", verbosity=0)
    coach = User.objects.create_user("coach@example.org", "Coach", User.Role.COACH)
    client = Client()
    client.force_login(coach)
    sys.stdout.write(client.cookies["carryover_session"].value)


if __name__ == "__main__":
    main()
