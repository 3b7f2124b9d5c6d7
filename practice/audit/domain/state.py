"""Erasure of a client's record: pure events, state and decisions.

An order before the practice's retention has passed says so and is recorded as such.
First a closing event under the practice's own key keeps the facts that must survive
(dates, units, authorization, disclosures; no name). Then the client's data key is
destroyed by a job, then that is recorded. Folding starts from the closing event.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime
from uuid import UUID

from practice.audit.domain import events
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


ERASURE: Slice[_Builder, ErasureStatus] = Slice(
    "erasure", initial=_Builder, freeze=lambda builder: builder.state, watches=(events,)
)


@ERASURE.on(events.ErasureOrdered)
def ordered(builder: _Builder, event: events.ErasureOrdered, meta: RecordedEvent) -> None:
    builder.state = ErasureStatus(
        erasure_id=event.erasure_id,
        reason=event.reason,
        ordered_by=meta.actor,
        ordered_at=meta.recorded_at,
        retained_until=event.retained_until,
        before_retention=event.before_retention,
    )


@ERASURE.on(events.ErasureOrderWithdrawn)
def order_withdrawn(
    builder: _Builder, event: events.ErasureOrderWithdrawn, meta: RecordedEvent
) -> None:
    builder.state = ErasureStatus()


@ERASURE.on(events.RecordClosed)
def record_closed(builder: _Builder, event: events.RecordClosed, meta: RecordedEvent) -> None:
    builder.state = ErasureStatus(
        erasure_id=event.erasure_id,
        ordered_by=event.ordered_by,
        ordered_at=event.ordered_at,
        retained_until=event.retained_until,
        before_retention=event.before_retention,
        approved_by=meta.actor,
        approved_at=meta.recorded_at,
    )


@ERASURE.on(events.RecordKeyDestroyed)
def key_destroyed(builder: _Builder, event: events.RecordKeyDestroyed, meta: RecordedEvent) -> None:
    builder.state = replace(builder.state, key_destroyed_at=meta.recorded_at)
