"""The rows of the table of disclosures, from the events of one client. Pure."""

from __future__ import annotations

import msgspec

from billing.authorizations.domain.retention import retained_of
from billing.summaries.domain import events
from billing.summaries.domain.retention import RetainedDisclosure
from practice.audit.domain import events as erasure_events
from practice.core.events import RecordedEvent
from practice.core.projections import ProjectedRows, Projection

DISCLOSURE_ROWS = Projection(
    "billing.Disclosure",
    watches=(events, erasure_events),
    ignores=(
        events.VisitSummaryKept,
        erasure_events.ErasureOrdered,
        erasure_events.ErasureOrderWithdrawn,
        erasure_events.RecordKeyDestroyed,
    ),
)


@DISCLOSURE_ROWS.on(events.RecordDisclosed)
def disclosed(rows: ProjectedRows, event: events.RecordDisclosed, meta: RecordedEvent) -> None:
    row = msgspec.structs.asdict(event)
    key = row.pop("disclosure_id")
    rows.put(key, {**row, "disclosed_at": meta.occurred_at, "disclosed_by": meta.actor})


@DISCLOSURE_ROWS.on(erasure_events.RecordClosed)
def disclosures_retained(
    rows: ProjectedRows, event: erasure_events.RecordClosed, meta: RecordedEvent
) -> None:
    for kept in retained_of(event, RetainedDisclosure):
        row = msgspec.structs.asdict(kept)
        rows.put(row.pop("id"), row)
