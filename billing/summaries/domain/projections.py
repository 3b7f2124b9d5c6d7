"""The rows of the table of disclosures, from the events of one client. Pure."""

from __future__ import annotations

import msgspec

from billing.authorizations.domain.retention import retained_of
from billing.summaries.domain.events import RecordDisclosed
from billing.summaries.domain.retention import RetainedDisclosure
from practice.audit.domain.events import RecordClosed
from practice.core.events import RecordedEvent
from practice.core.projections import ProjectedRows, projection


@projection("billing.Disclosure", RecordDisclosed, RecordClosed)
def disclosure_row(rows: ProjectedRows, rec: RecordedEvent) -> None:
    """One row per disclosure, kept beyond erasure."""
    match rec.data:
        case RecordDisclosed() as made:
            row = msgspec.structs.asdict(made)
            key = row.pop("disclosure_id")
            who = {"disclosed_at": rec.occurred_at, "disclosed_by": rec.actor}
            rows.put(key, {**row, **who})
        case RecordClosed() as closed:
            for kept in retained_of(closed, RetainedDisclosure):
                row = msgspec.structs.asdict(kept)
                rows.put(row.pop("id"), row)
