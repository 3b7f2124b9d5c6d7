"""Sends the key table to its own database alias where ``KEYS_DATABASE_URL`` is set."""

from typing import Any

from django.conf import settings
from django.db import DEFAULT_DB_ALIAS
from django.db.models import Model


def keys_alias() -> str:
    """The alias that holds the data keys: ``keys`` if configured, else the default."""
    return "keys" if "keys" in settings.DATABASES else DEFAULT_DB_ALIAS


class KeyRouter:
    """Data keys live at ``keys_alias()``; everything else never does when it is apart."""

    def db_for_read(self, model: type[Model], **hints: Any) -> str | None:
        """Where a model is read."""
        return keys_alias() if model._meta.app_label == "keys" else None

    def db_for_write(self, model: type[Model], **hints: Any) -> str | None:
        """Where a model is written."""
        return self.db_for_read(model)

    def allow_migrate(self, db: str, app_label: str, **hints: Any) -> bool | None:
        """Tables of keys only where keys live; no other table there when it is apart."""
        if app_label == "keys":
            return db == keys_alias()
        return None if db == DEFAULT_DB_ALIAS else False
