"""Makes the hooks a part of the site, after all that they hook into."""

from __future__ import annotations

from django.apps import AppConfig


class FaultsConfig(AppConfig):
    name = "tests.faults"
    label = "faults"

    def ready(self) -> None:
        """Lay the hooks once every room is there."""
        from tests.faults import hooks

        hooks.lay()
