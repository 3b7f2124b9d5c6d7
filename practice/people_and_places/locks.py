"""The rows of practitioners and rooms that a unit of work locks while it takes their time."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TypeVar
from uuid import UUID

from django.db import connection, models

from practice.people_and_places.models.facilities import Room
from practice.people_and_places.models.practitioners import Practitioner

Row = TypeVar("Row", bound=models.Model)


class PlaceLocks:
    """Practitioners, then rooms, each in order of id; ``uow.lock`` takes it.

    What was found of them is in ``practitioners`` and ``rooms``; an id that does not exist
    locks nothing. None among the ids is passed over.
    """

    def __init__(
        self, practitioner_ids: Iterable[UUID | None] = (), room_ids: Iterable[UUID | None] = ()
    ) -> None:
        self._practitioner_ids = frozenset(one for one in practitioner_ids if one)
        self._room_ids = frozenset(one for one in room_ids if one)
        self.practitioners: dict[UUID, Practitioner] = {}
        self.rooms: dict[UUID, Room] = {}

    @property
    def ids(self) -> frozenset[UUID]:
        """The ids of all its rows."""
        return self._practitioner_ids | self._room_ids

    def lock(self) -> None:
        """Lock and read the rows."""
        self.practitioners = lock_rows(Practitioner, self._practitioner_ids)
        self.rooms = lock_rows(Room, self._room_ids)


def lock_rows(model: type[Row], ids: frozenset[UUID]) -> dict[UUID, Row]:
    """Rows by id under their locks, taken in order of id.

    SQLite's writer lock is enough there; elsewhere rows that only refer to them are not kept
    waiting (``no_key``).
    """
    rows = model._default_manager.filter(pk__in=ids).order_by("pk")
    if connection.features.has_select_for_no_key_update:
        rows = rows.select_for_update(no_key=True)
    return {row.pk: row for row in rows}
