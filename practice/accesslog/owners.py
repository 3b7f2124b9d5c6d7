"""Whose record an id in an address belongs to, for the log of reads and refusals.

A floor above registers the ids that it gives out; nothing here knows it.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from uuid import UUID

ClientOf = Callable[[UUID], UUID | None]

owners_of_ids: dict[str, ClientOf] = {}
"""For the name of an id in an address (``session_id``): whose record it belongs to."""


def owner_of_id(name: str) -> Callable[[ClientOf], ClientOf]:
    """Decorator: ``find(id)`` gives the client whose record an id in an address belongs to."""

    def register(find: ClientOf) -> ClientOf:
        owners_of_ids[name] = find
        return find

    return register


def client_of(name: str, value: Any) -> UUID | None:
    """The client whose record an id in an address belongs to, where a floor above knows it."""
    find = owners_of_ids.get(name)
    return find(value) if find is not None and isinstance(value, UUID) else None
