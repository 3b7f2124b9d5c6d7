"""The locks of one unit of work, taken in one order so that two units never wait in a circle.

First the heads of the clients' streams by id, then the places by the order of their own
locker. What a unit needs is planned, then locked, then decided on: a lock out of that order
is a mistake in the program and raises RuntimeError.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Protocol
from uuid import UUID

from practice.eventstore import store


class Places(Protocol):
    """People and rooms whose time a unit takes; a higher feature knows their rows."""

    @property
    def ids(self) -> frozenset[UUID]:
        """The ids of all rows that it locks."""

    def lock(self) -> None:
        """Lock the rows, in the one order of all such lockers; safe to repeat in a unit."""


class Locks:
    """What one unit holds; released when its transaction ends."""

    def __init__(self) -> None:
        self.heads: dict[UUID, store.LockedHead] = {}
        self._last: UUID | None = None
        self._places: frozenset[UUID] = frozenset()

    def create_head(self, client_id: UUID) -> None:
        """The head of a new client, which nobody else can wait for yet."""
        self.heads[client_id] = store.create_head(client_id)

    def lock_heads(self, client_ids: Iterable[UUID]) -> bool:
        """Lock the heads that are not held yet; whether there were any.

        Raises Rejected 404 for a client that does not exist, RuntimeError out of order.
        """
        missing = sorted({one for one in client_ids if one not in self.heads})
        if not missing:
            return False
        if self._places:
            raise RuntimeError("a client was asked for after places: lock every client first")
        if self._last is not None and missing[0] < self._last:
            raise RuntimeError("clients were asked for out of order: lock them together")
        self.heads.update(store.lock_heads(missing))
        self._last = missing[-1]
        return True

    def renew_heads(self, client_ids: Iterable[UUID]) -> None:
        """Lock heads again, as they stand now: a savepoint that is left took its locks along."""
        self.heads.update(store.lock_heads(client_ids))

    def lock_places(self, places: Places) -> None:
        """Lock places after all heads. Raises RuntimeError for further places than are held."""
        if self._places and places.ids - self._places:
            raise RuntimeError("further places were asked for: lock them together")
        places.lock()
        self._places |= places.ids
