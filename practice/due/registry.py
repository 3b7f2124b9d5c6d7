"""Who handles which kind of due work."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING
from uuid import UUID

if TYPE_CHECKING:
    from practice.eventlog.runner import Work

Handler = Callable[["Work", UUID, str], None]

_handlers: dict[str, Handler] = {}


def handler(kind: str) -> Callable[[Handler], Handler]:
    """Decorator: ``handle(work, subject, key)`` decides again whether the work is still
    wanted and does it, inside the transaction that marks the row done."""

    def register(handle: Handler) -> Handler:
        _handlers[kind] = handle
        return handle

    return register


def handler_of(kind: str) -> Handler | None:
    """The handler of a kind, or None."""
    return _handlers.get(kind)
