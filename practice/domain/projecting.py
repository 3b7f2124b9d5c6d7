"""Projectors: how events become the rows of a read table. Pure.

A projector sees the rows of one stream and one event and changes rows of that
stream only. Ids and times come from the event; nothing else is read. The same
projector serves the write (rows fetched as asked for) and the rebuild (all rows
in memory), so that both give identical rows.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any, Protocol
from uuid import UUID

from practice.domain.decisions import parts
from practice.domain.events import Event, Recorded

Row = dict[str, Any]


class Rows(Protocol):
    """The rows of one read table that belong to one stream, by primary key."""

    def get(self, key: UUID) -> Row | None:
        """A copy of a row, or None."""

    def put(self, key: UUID, row: Row) -> None:
        """Write a whole row; ``id``, ``client_id`` and ``version`` are filled in."""

    def change(self, key: UUID, **changes: Any) -> None:
        """Change some columns of a row; nothing happens where there is no such row."""

    def delete(self, key: UUID) -> None:
        """Drop a row; nothing happens where there is no such row."""

    def all(self) -> Iterator[tuple[UUID, Row]]:
        """Every row of the stream, in order of key."""


@dataclass(frozen=True)
class Projector:
    """Keeps one read table. ``table`` is a Django model label, e.g. ``clients.Client``."""

    table: str
    on: tuple[type[Event], ...]
    apply: Callable[[Rows, Recorded], None]


def projector(table: str, *on: type[Event]) -> Callable[..., Callable[[Rows, Recorded], None]]:
    """Decorator that registers a function as the projector of a read table."""

    def register(apply: Callable[[Rows, Recorded], None]) -> Callable[[Rows, Recorded], None]:
        if table in parts.projectors:
            raise ValueError(f"{table} has a projector already")
        parts.projectors[table] = Projector(table, on, apply)
        return apply

    return register
