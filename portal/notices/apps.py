from django.apps import AppConfig


class NoticesConfig(AppConfig):
    name = "portal.notices"
    label = "notices"

    def ready(self) -> None:
        # Models exist only now
        from portal.accounts.parts import PROFILE_PARTS
        from portal.notices import browsers  # noqa: F401 - connects its receiver
        from portal.notices.pages import profile_part

        PROFILE_PARTS.append(profile_part)
