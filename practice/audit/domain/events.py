"""Erasure of a client's record: pure events, state and decisions.

An order before the practice's retention has passed says so and is recorded as such.
First a closing event under the practice's own key keeps the facts that must survive
(dates, units, authorization, disclosures; no name). Then the client's data key is
destroyed by a job, then that is recorded. Folding starts from the closing event.
"""

from __future__ import annotations

from datetime import date, datetime
from typing import Any
from uuid import UUID

from practice.core.events import Event, event


@event("erasure.ordered")
class ErasureOrdered(Event, frozen=True, kw_only=True):
    """The owner ordered the erasure of a record, with the reason; a second person must agree.

    ``retained_until`` is the last day of the practice's retention by the setting that
    stood then; ``before_retention``: it was ordered all the same.
    """

    erasure_id: UUID
    reason: str
    retained_until: date | None = None
    before_retention: bool = False


@event("erasure.order_withdrawn")
class ErasureOrderWithdrawn(Event, frozen=True, kw_only=True):
    """The order was taken back before the second person agreed."""

    erasure_id: UUID


@event("record.closed")
class RecordClosed(Event, frozen=True, kw_only=True):
    """The closing event: what survives, by app and list; nothing that names the client.

    Its actor and time are the second person's. The reason is free text and goes with the
    record.
    """

    erasure_id: UUID
    ordered_by: UUID
    retained_facts: dict[str, list[dict[str, Any]]]
    ordered_at: datetime | None = None
    retained_until: date | None = None
    before_retention: bool = False


@event("record.key_destroyed")
class RecordKeyDestroyed(Event, frozen=True, kw_only=True):
    """The client's data key is gone; what it encrypted can never be read again."""

    erasure_id: UUID
