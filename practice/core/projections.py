"""Projections: how events become the rows of a read table. Pure.

A projection sees the rows of one stream and one event and changes rows of that
stream only. Ids and times come from the event; nothing else is read. The same
projection serves the write (rows fetched as asked for) and the rebuild (all rows
in memory), so that both give identical rows.
"""

from __future__ import annotations

from collections.abc import Iterator
from types import ModuleType
from typing import Any, Protocol
from uuid import UUID

from practice.core.dispatch import Folding
from practice.core.events import Event

ProjectedRow = dict[str, Any]


class ProjectedRows(Protocol):
    """The rows of one read table that belong to one stream, by primary key."""

    def get(self, key: UUID) -> ProjectedRow | None:
        """A copy of a row, or None."""

    def put(self, key: UUID, row: ProjectedRow) -> None:
        """Write a whole row; ``id``, ``client_id`` and ``version`` are filled in."""

    def change(self, key: UUID, **changes: Any) -> None:
        """Change some columns of a row; nothing happens where there is no such row."""

    def delete(self, key: UUID) -> None:
        """Drop a row; nothing happens where there is no such row."""

    def all(self) -> Iterator[tuple[UUID, ProjectedRow]]:
        """Every row of the stream, in order of key."""


class Projection(Folding[ProjectedRows]):
    """Keeps one read table. ``name`` is the label of its Django model, e.g. ``clients.Client``.

    A handler, ``handler(rows, event, meta)``, changes the rows of the stream. ``version`` is
    raised where handlers make other rows of events that are on record already: the rows from
    before are due to be made again then. A new column needs no new version to be seen.
    """

    def __init__(
        self,
        name: str,
        *,
        watches: tuple[ModuleType, ...] = (),
        ignores: tuple[type[Event], ...] = (),
        version: int = 1,
    ) -> None:
        super().__init__(name, watches=watches, ignores=ignores)
        self.version = version
