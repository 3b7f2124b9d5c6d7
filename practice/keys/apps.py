"""The store of data keys, on a database alias of its own where one is set."""

from django.apps import AppConfig
from django.db.models.signals import post_migrate


class KeysConfig(AppConfig):
    """Keys apart from the records, so that a backup of the records does not carry them."""

    name = "practice.keys"
    label = "keys"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Make the practice's own key once the table is there."""
        from practice.keys.canary import ensure_practice_key

        post_migrate.connect(ensure_practice_key, sender=self)
