"""The sessions app: calendar, notes, range of motion, stretches and re-checks."""

from django.apps import AppConfig
from django.core import checks
from django.db.models.signals import post_migrate


class SessionsConfig(AppConfig):
    """Its label differs from its name, since Django's own app has the label ``sessions``."""

    name = "sessions"
    label = "client_sessions"
    verbose_name = "Sessions"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Install the calendar's guards and the shipped stretches after every migrate."""
        from sessions.calendar import guards
        from sessions.catalogue.services import load_missing_stretches

        post_migrate.connect(guards.install_session_guards, sender=self)
        post_migrate.connect(load_missing_stretches, sender=self)
        checks.register(checks.Tags.database)(guards.check_session_guards)
