"""The rows of who pays for themself, from the events of one client. Pure."""

from __future__ import annotations

from billing.self_pay.domain import events
from billing.self_pay.domain.retention import retained_self_pay
from practice.audit.domain import events as erasure_events
from practice.core.events import RecordedEvent
from practice.core.projections import ProjectedRows, Projection

SELF_PAY_ROWS = Projection(
    "billing.SelfPayStatement",
    watches=(events, erasure_events),
    ignores=(
        erasure_events.ErasureOrdered,
        erasure_events.ErasureOrderWithdrawn,
        erasure_events.RecordKeyDestroyed,
    ),
)


@SELF_PAY_ROWS.on(events.SelfPayStated)
def stated(rows: ProjectedRows, event: events.SelfPayStated, meta: RecordedEvent) -> None:
    replaced = [key for key, row in rows.all() if row["starts_on"] == event.starts_on]
    for key in replaced:
        rows.delete(key)
    row = {
        "starts_on": event.starts_on,
        "self_paying": event.self_paying,
        "reason": event.reason,
        "stated_at": meta.recorded_at,
    }
    rows.put(event.statement_id, row)


@SELF_PAY_ROWS.on(erasure_events.RecordClosed)
def statements_retained(
    rows: ProjectedRows, event: erasure_events.RecordClosed, meta: RecordedEvent
) -> None:
    for kept in retained_self_pay(event):
        rows.put(kept.id, {"starts_on": kept.starts_on, "self_paying": kept.self_paying})
