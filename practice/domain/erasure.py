"""Erasure of a client's record: pure events, state and decisions.

An order before the practice's retention has passed says so and is recorded as such.
First a closing event under the practice's own key keeps the facts that must survive
(dates, units, authorization, disclosures; no name). Then the client's data key is
destroyed by due work, then that is recorded. Folding starts from the closing event.
"""

from __future__ import annotations

from calendar import isleap
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any
from uuid import UUID

from practice.domain.decisions import Context, Decided, Due, DuePlan, Slice
from practice.domain.events import Event, Recorded, event
from practice.domain.reasons import Rejected
from practice.domain.terms import Role


@event("erasure.ordered")
class ErasureOrdered(Event, frozen=True, kw_only=True):
    """The owner ordered the erasure of a record, with the reason; a second person must agree.

    ``retained_until`` is the last day of the practice's retention by the setting that
    stood then; ``before_retention`` that she ordered it all the same.
    """

    order_id: UUID
    reason: str
    retained_until: date | None = None
    before_retention: bool = False


@event("erasure.order_withdrawn")
class ErasureOrderWithdrawn(Event, frozen=True, kw_only=True):
    """The order was taken back before the second person agreed."""

    order_id: UUID


@event("record.closed")
class RecordClosed(Event, frozen=True, kw_only=True):
    """The closing event: what survives, by app and list; nothing that names the client.

    Its actor and time are the second person's. The reason is free text and goes with the
    record.
    """

    order_id: UUID
    ordered_by: UUID
    survivors: dict[str, list[dict[str, Any]]]
    ordered_at: datetime | None = None
    retained_until: date | None = None
    before_retention: bool = False


@event("record.key_destroyed")
class KeyDestroyedForGood(Event, frozen=True, kw_only=True):
    """The client's data key is gone; what it sealed can never be read again."""

    order_id: UUID


@dataclass(frozen=True)
class Closing:
    """Where the erasure of a record stands: each act with its own person and time."""

    order_id: UUID | None = None
    reason: str | None = None
    ordered_by: UUID | None = None
    ordered_at: datetime | None = None
    retained_until: date | None = None
    before_retention: bool = False
    agreed_by: UUID | None = None
    agreed_at: datetime | None = None
    key_destroyed_at: datetime | None = None

    @property
    def closed(self) -> bool:
        """Whether the second person has agreed."""
        return self.agreed_at is not None

    @property
    def key_destroyed(self) -> bool:
        """Whether the key is gone."""
        return self.key_destroyed_at is not None


class _Builder:
    def __init__(self) -> None:
        self.state = Closing()


def _evolve(builder: _Builder, recorded: Recorded) -> None:
    match recorded.data:
        case ErasureOrdered() as order:
            builder.state = Closing(
                order_id=order.order_id,
                reason=order.reason,
                ordered_by=recorded.actor,
                ordered_at=recorded.recorded_at,
                retained_until=order.retained_until,
                before_retention=order.before_retention,
            )
        case ErasureOrderWithdrawn():
            builder.state = Closing()
        case RecordClosed() as closing:
            builder.state = Closing(
                order_id=closing.order_id,
                ordered_by=closing.ordered_by,
                ordered_at=closing.ordered_at,
                retained_until=closing.retained_until,
                before_retention=closing.before_retention,
                agreed_by=recorded.actor,
                agreed_at=recorded.recorded_at,
            )
        case KeyDestroyedForGood():
            builder.state = replace(builder.state, key_destroyed_at=recorded.recorded_at)


CLOSING: Slice[_Builder, Closing] = Slice(
    name="closing",
    folds=(ErasureOrdered, ErasureOrderWithdrawn, RecordClosed, KeyDestroyedForGood),
    initial=_Builder,
    evolve=_evolve,
    freeze=lambda builder: builder.state,
)


def retained_until(last_entry: datetime, years: int) -> date:
    """The last day of a record's retention: so many years after its last entry.

    29 February ends on 28 February where the year has no leap day.
    """
    day, year = last_entry.date(), last_entry.year + years
    leap = day.month == 2 and day.day == 29
    return date(year, 2, 28) if leap and not isleap(year) else day.replace(year=year)


def order_erasure(
    state: Closing,
    reason: str,
    context: Context,
    *,
    retained: date | None = None,
    before_retention: bool = False,
) -> Decided:
    """The owner orders. An order that stands already is not repeated.

    Before the retention has passed (``retained`` is its last day) she says so.
    """
    if state.order_id is not None:
        return []
    early = retained is not None and context.now.date() <= retained
    if early and not before_retention:
        raise Rejected(
            "retention_not_passed",
            f"The practice keeps this record until {retained}, by its setting"
            " retention.years_after_last_event. To order its erasure before that, send"
            " before_retention: true with the reason.",
            extra={"retained_until": str(retained)},
        )
    return [
        ErasureOrdered(
            order_id=context.new_id(),
            reason=reason,
            retained_until=retained,
            before_retention=early,
        )
    ]


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
            order_id=state.order_id,
            ordered_by=state.ordered_by,
            survivors=dict(survivors),
            ordered_at=state.ordered_at,
            retained_until=state.retained_until,
            before_retention=state.before_retention,
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
