"""Whose record an id in an address belongs to, for the log of reads and refusals."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.apps import apps

from practice.core.appspec import installed


def client_of(name: str, value: Any) -> UUID | None:
    """The client whose record an id in an address belongs to; None for an id of no client and
    for one that is not on record. ``name``: as in the address, e.g. ``session_id``."""
    label = installed.owners_of_ids.get(name)
    if label is None or not isinstance(value, UUID):
        return None
    rows = apps.get_model(label)._default_manager.filter(pk=value)
    found: UUID | None = rows.values_list("client_id", flat=True).first()
    return found
