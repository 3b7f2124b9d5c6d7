"""What a second process runs: nothing here needs Django before ``start`` has set it up."""

from __future__ import annotations

from typing import TYPE_CHECKING
from uuid import UUID

if TYPE_CHECKING:
    from practice.eventlog.rebuild import Rebuilt


def start() -> None:
    """Set up Django, once in each process."""
    import django

    django.setup()


def rebuild_batch(streams: list[UUID]) -> Rebuilt:
    """Make the rows of some streams again."""
    from practice.eventlog import rebuild

    return rebuild.rebuild_batch(streams)
