"""The event log: envelope, chain, runner, projections, rebuild."""

from django.apps import AppConfig
from django.core import checks
from django.db.models.signals import post_migrate


class EventlogConfig(AppConfig):
    """Installs the guards after every migrate and checks that they stand."""

    name = "practice.eventstore"
    label = "eventstore"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Connect guards and checks."""
        from practice.eventstore import guards

        post_migrate.connect(guards.install, sender=self)
        checks.register(checks.Tags.database)(guards.check_guards)
