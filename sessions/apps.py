"""The sessions floor: calendar, notes, range of motion, stretches and re-checks."""

from django.apps import AppConfig


class SessionsConfig(AppConfig):
    """Its label differs from its name, since Django's own app has the label ``sessions``."""

    name = "sessions"
    label = "client_sessions"
    verbose_name = "Sessions"

    def ready(self) -> None:
        """Register slices, reactors, projectors and due plans."""
        from sessions import registration

        registration.register()
