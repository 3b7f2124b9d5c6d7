"""Names beside ids: what a person at the desk reads on a list."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Any, TypeVar
from uuid import UUID

from django.db.models import Model

from clients.identity.models import Client
from practice.people_and_places.selectors.kept import (
    Names,
    facility_names,
    practitioner_names,
    room_names,
)

T = TypeVar("T", bound=Model)

NAMES: tuple[tuple[str, Callable[[], Names]], ...] = (
    ("practitioner", practitioner_names),
    ("facility", facility_names),
    ("room", room_names),
)
"""Columns ``<word>_id`` of a row and what has their names."""


def with_display_names(rows: Iterable[T]) -> list[T]:
    """The rows with ``client_name``, ``client_phone``, ``client_contact_by`` and the names of
    practitioner, facility and room as attributes.

    After an erasure a client has no name any more: it is empty then.
    """
    found = list(rows)
    if not found:
        return found
    wanted = Client.objects.filter(pk__in=_ids(found, "client_id"))
    clients = {one["id"]: one for one in wanted.values("id", "name", "phone", "contact_by")}
    for row in found:
        client: Any = clients.get(getattr(row, "client_id"), {})  # noqa: B009  of any read table
        for column in ("name", "phone", "contact_by"):
            setattr(row, f"client_{column}", client.get(column, ""))
    for word, names in NAMES:
        if hasattr(found[0], f"{word}_id"):
            _name(found, word, names())
    return found


def _name(rows: Sequence[Any], word: str, names: Names) -> None:
    for row in rows:
        setattr(row, f"{word}_name", names.get(getattr(row, f"{word}_id"), ""))


def _ids(rows: Sequence[Any], column: str) -> set[UUID]:
    return {getattr(row, column) for row in rows} - {None}
