"""The ground floor: the practice's people, places and settings, and the HTTP layer."""

from django.apps import AppConfig
from django.db.models.signals import post_migrate


class PracticeConfig(AppConfig):
    """Knows erasure; loads missing settings after every migrate."""

    name = "practice"
    label = "practice"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Register erasure and connect the loader of settings."""
        from practice.audit import services as erasure
        from practice.policy.fixtures import load_missing_settings

        erasure.register()
        post_migrate.connect(load_missing_settings, sender=self)
