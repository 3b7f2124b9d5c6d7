"""What higher floors want to be told, and the shapes they give their settings.

A floor above registers here from its ``registration.py``; nothing here knows it.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING
from uuid import UUID

from practice.core.reasons import Reason

if TYPE_CHECKING:
    pass

before_erasure: list[Callable[[UUID], list[Reason]]] = []
"""What stands open in a client's record, as the floors above know it: warnings, no refusals."""


def on_before_erasure(
    find_warnings: Callable[[UUID], list[Reason]],
) -> Callable[[UUID], list[Reason]]:
    """Decorator: ``tell(client_id)`` is asked before a record is erased."""
    if find_warnings not in before_erasure:
        before_erasure.append(find_warnings)
    return find_warnings


def open_items(client_id: UUID) -> list[Reason]:
    """Everything that stands open in a client's record."""
    return [reason for find_warnings in before_erasure for reason in find_warnings(client_id)]
