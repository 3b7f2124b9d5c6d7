"""Erasure of a client's record: pure events, state and decisions.

First a closing event under the practice's own key keeps the facts that must survive
(dates, units, authorization, disclosures; no name). Then the client's data key is
destroyed by due work, then that is recorded. Folding starts from the closing event.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from practice.domain.decisions import Context, Decided, Due, DuePlan, Slice
from practice.domain.events import Event, Recorded, event
from practice.domain.reasons import Rejected
from practice.domain.terms import Role


@event("erasure.ordered")
class ErasureOrdered(Event, frozen=True, kw_only=True):
    """The owner ordered the erasure of a record, with the reason; a second person must agree."""

    order_id: UUID
    reason: str


@event("erasure.order_withdrawn")
class ErasureOrderWithdrawn(Event, frozen=True, kw_only=True):
    """The order was taken back before the second person agreed."""

    order_id: UUID


@event("record.closed")
class RecordClosed(Event, frozen=True, kw_only=True):
    """The closing event: what survives, by app and list; nothing that names the client."""

    order_id: UUID
    ordered_by: UUID
    survivors: dict[str, list[dict[str, Any]]]


@event("record.key_destroyed")
class KeyDestroyedForGood(Event, frozen=True, kw_only=True):
    """The client's data key is gone; what it sealed can never be read again."""

    order_id: UUID


@dataclass(frozen=True)
class Closing:
    """Where the erasure of a record stands."""

    order_id: UUID | None = None
    ordered_by: UUID | None = None
    ordered_at: datetime | None = None
    closed: bool = False
    key_destroyed: bool = False


class _Builder:
    def __init__(self) -> None:
        self.state = Closing()


def _evolve(builder: _Builder, recorded: Recorded) -> None:
    match recorded.data:
        case ErasureOrdered(order_id=order_id):
            builder.state = Closing(order_id, recorded.actor, recorded.recorded_at)
        case ErasureOrderWithdrawn():
            builder.state = Closing()
        case RecordClosed(order_id=order_id, ordered_by=by):
            builder.state = Closing(order_id, by, recorded.recorded_at, closed=True)
        case KeyDestroyedForGood(order_id=order_id):
            builder.state = Closing(
                order_id,
                builder.state.ordered_by,
                builder.state.ordered_at,
                closed=True,
                key_destroyed=True,
            )


CLOSING: Slice[_Builder, Closing] = Slice(
    name="closing",
    folds=(ErasureOrdered, ErasureOrderWithdrawn, RecordClosed, KeyDestroyedForGood),
    initial=_Builder,
    evolve=_evolve,
    freeze=lambda builder: builder.state,
)


def order_erasure(state: Closing, reason: str, context: Context) -> Decided:
    """The owner orders. An order that stands already is not repeated."""
    if state.order_id is not None:
        return []
    return [ErasureOrdered(order_id=context.new_id(), reason=reason)]


def withdraw_order(state: Closing, context: Context) -> Decided:
    """The order is taken back while that is still possible."""
    if state.closed:
        raise Rejected("record_closed", "The record is closed already; nothing brings it back.")
    if state.order_id is None:
        return []
    return [ErasureOrderWithdrawn(order_id=state.order_id)]


def close_record(
    state: Closing,
    survivors: Mapping[str, list[dict[str, Any]]],
    *,
    owners: int,
    context: Context,
) -> Decided:
    """The second person agrees: another owner, or any practitioner where there is one owner."""
    if state.closed:
        return []
    if state.order_id is None or state.ordered_by is None:
        raise Rejected("no_erasure_order", "Nobody has ordered the erasure of this record.")
    if context.actor.id == state.ordered_by:
        raise Rejected(
            "second_person_needed", "A second person must agree, not the one who ordered."
        )
    allowed = {Role.OWNER} if owners > 1 else {Role.OWNER, Role.PRACTITIONER}
    if context.actor.role not in allowed:
        raise Rejected(
            "second_person_needed",
            "Another owner must agree; in a practice with one owner, a practitioner.",
        )
    return [
        RecordClosed(
            order_id=state.order_id, ordered_by=state.ordered_by, survivors=dict(survivors)
        )
    ]


def record_destruction(state: Closing) -> Decided:
    """Record once that the key is gone."""
    if state.key_destroyed or state.order_id is None:
        return []
    return [KeyDestroyedForGood(order_id=state.order_id)]


def _plan(recorded: Recorded) -> list[Due]:
    return [
        Due(
            kind="destroy_key",
            key=f"destroy_key:{recorded.stream}",
            subject=recorded.stream,
            at=recorded.recorded_at,
        )
    ]


DESTRUCTION = DuePlan(name="destroy_key", on=(RecordClosed,), plan=_plan)
