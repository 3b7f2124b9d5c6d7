"""The sessions floor: calendar, notes, range of motion, stretches and re-checks."""

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
        """Register slices, reactors, projectors and due plans; install the calendar's guards."""
        from sessions import spec as registration
        from sessions.calendar import guards

        registration.register()
        post_migrate.connect(guards.install_session_guards, sender=self)
        checks.register(checks.Tags.database)(guards.check_session_guards)
