"""The rows of the table of disclosures, from the events of one client. Pure."""

from __future__ import annotations

import msgspec

from billing.domain.disclosed import RecordDisclosed
from billing.domain.disclosed_surviving import KeptDisclosure
from billing.domain.surviving import kept_of
from practice.domain.erasure import RecordClosed
from practice.domain.events import Recorded
from practice.domain.projecting import Rows, projector


@projector("billing.Disclosure", RecordDisclosed, RecordClosed)
def disclosure_row(rows: Rows, rec: Recorded) -> None:
    """One row per disclosure, kept beyond erasure."""
    match rec.data:
        case RecordDisclosed() as made:
            row = msgspec.structs.asdict(made)
            key = row.pop("disclosure_id")
            who = {"disclosed_at": rec.effective_at, "disclosed_by": rec.actor}
            rows.put(key, {**row, **who})
        case RecordClosed() as closed:
            for kept in kept_of(closed, KeptDisclosure):
                row = msgspec.structs.asdict(kept)
                rows.put(row.pop("id"), row)
