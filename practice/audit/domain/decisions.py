"""Erasure of a client's record: pure events, state and decisions.

An order before the practice's retention has passed says so and is recorded as such.
First a closing event under the practice's own key keeps the facts that must survive
(dates, units, authorization, disclosures; no name). Then the client's data key is
destroyed by a job, then that is recorded. Folding starts from the closing event.
"""

from __future__ import annotations

from calendar import isleap
from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from practice.audit.domain.events import (
    ErasureOrdered,
    ErasureOrderWithdrawn,
    RecordClosed,
    RecordKeyDestroyed,
)
from practice.audit.domain.state import ErasureStatus
from practice.core.decisions import Context, Decided
from practice.core.reasons import Rejected
from practice.core.terms import Role


def retained_until(last_entry: datetime, years: int) -> date:
    """The last day of a record's retention: so many years after its last entry.

    29 February ends on 28 February where the year has no leap day.
    """
    day, year = last_entry.date(), last_entry.year + years
    leap = day.month == 2 and day.day == 29
    return date(year, 2, 28) if leap and not isleap(year) else day.replace(year=year)


def order_erasure(
    state: ErasureStatus,
    reason: str,
    context: Context,
    *,
    retained: date | None = None,
    before_retention: bool = False,
) -> Decided:
    """The owner orders. An order that stands already is not repeated.

    Before the retention has passed (``retained`` is its last day) the order says so.
    """
    if state.erasure_id is not None:
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
            erasure_id=context.new_id(),
            reason=reason,
            retained_until=retained,
            before_retention=early,
        )
    ]


def withdraw_order(state: ErasureStatus, context: Context) -> Decided:
    """The order is taken back while that is still possible."""
    if state.closed:
        raise Rejected("record_closed", "The record is closed already; nothing brings it back.")
    if state.erasure_id is None:
        return []
    return [ErasureOrderWithdrawn(erasure_id=state.erasure_id)]


def close_record(
    state: ErasureStatus,
    retained_facts: Mapping[str, list[dict[str, Any]]],
    *,
    owners: int,
    context: Context,
) -> Decided:
    """The second person agrees: another owner, or any practitioner where there is one owner."""
    if state.closed:
        return []
    if state.erasure_id is None or state.ordered_by is None:
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
            erasure_id=state.erasure_id,
            ordered_by=state.ordered_by,
            retained_facts=dict(retained_facts),
            ordered_at=state.ordered_at,
            retained_until=state.retained_until,
            before_retention=state.before_retention,
        )
    ]


def record_destruction(state: ErasureStatus) -> Decided:
    """Record once that the key is gone."""
    if state.key_destroyed or state.erasure_id is None:
        return []
    return [RecordKeyDestroyed(erasure_id=state.erasure_id)]
