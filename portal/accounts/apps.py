from django.apps import AppConfig


class AccountsConfig(AppConfig):
    name = "portal.accounts"
    label = "accounts"

    def ready(self) -> None:
        from portal.accounts import signing  # noqa: F401 - connects its receiver
