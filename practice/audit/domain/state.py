"""Erasure of a client's record: pure events, state and decisions.

An order before the practice's retention has passed says so and is recorded as such.
First a closing event under the practice's own key keeps the facts that must survive
(dates, units, authorization, disclosures; no name). Then the client's data key is
destroyed by due work, then that is recorded. Folding starts from the closing event.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime
from uuid import UUID

from practice.audit.domain.events import (
    ErasureOrdered,
    ErasureOrderWithdrawn,
    RecordClosed,
    RecordKeyDestroyed,
)
from practice.core.decisions import Slice
from practice.core.events import RecordedEvent


@dataclass(frozen=True)
class ErasureStatus:
    """Where the erasure of a record stands: each act with its own person and time."""

    erasure_id: UUID | None = None
    reason: str | None = None
    ordered_by: UUID | None = None
    ordered_at: datetime | None = None
    retained_until: date | None = None
    before_retention: bool = False
    approved_by: UUID | None = None
    approved_at: datetime | None = None
    key_destroyed_at: datetime | None = None

    @property
    def closed(self) -> bool:
        """Whether the second person has agreed."""
        return self.approved_at is not None

    @property
    def key_destroyed(self) -> bool:
        """Whether the key is gone."""
        return self.key_destroyed_at is not None


class _Builder:
    def __init__(self) -> None:
        self.state = ErasureStatus()


def _evolve(builder: _Builder, recorded: RecordedEvent) -> None:
    match recorded.data:
        case ErasureOrdered() as order:
            builder.state = ErasureStatus(
                erasure_id=order.erasure_id,
                reason=order.reason,
                ordered_by=recorded.actor,
                ordered_at=recorded.recorded_at,
                retained_until=order.retained_until,
                before_retention=order.before_retention,
            )
        case ErasureOrderWithdrawn():
            builder.state = ErasureStatus()
        case RecordClosed() as closing:
            builder.state = ErasureStatus(
                erasure_id=closing.erasure_id,
                ordered_by=closing.ordered_by,
                ordered_at=closing.ordered_at,
                retained_until=closing.retained_until,
                before_retention=closing.before_retention,
                approved_by=recorded.actor,
                approved_at=recorded.recorded_at,
            )
        case RecordKeyDestroyed():
            builder.state = replace(builder.state, key_destroyed_at=recorded.recorded_at)


ERASURE: Slice[_Builder, ErasureStatus] = Slice(
    name="erasure",
    folds=(ErasureOrdered, ErasureOrderWithdrawn, RecordClosed, RecordKeyDestroyed),
    initial=_Builder,
    evolve=_evolve,
    freeze=lambda builder: builder.state,
)
