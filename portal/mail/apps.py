from django.apps import AppConfig


class MailConfig(AppConfig):
    name = "portal.mail"
    label = "mail"
