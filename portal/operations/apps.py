from django.apps import AppConfig


class OperationsConfig(AppConfig):
    name = "portal.operations"
    label = "operations"

    def ready(self) -> None:
        from portal.operations import checks  # noqa: F401 - registers itself
