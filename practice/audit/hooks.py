"""What is asked of the features above before a record is erased, and by the checks."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from uuid import UUID

from practice.core.appspec import ExtensionPoint
from practice.core.reasons import Reason

OPEN_BUSINESS = ExtensionPoint[Callable[[UUID], list[Reason]]]("open business before an erasure")
"""``find(client_id)``: what stands open in a client's record. Warnings, no refusals."""


def open_items(client_id: UUID) -> list[Reason]:
    """Everything that stands open in a client's record."""
    return [reason for find in OPEN_BUSINESS.answers for reason in find(client_id)]


DOCUMENT_FAULTS = ExtensionPoint[Callable[[], Iterable[str]]]("working documents that do not open")
"""``find()``: working documents that are not as they were written, as sentences."""
