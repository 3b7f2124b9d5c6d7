"""The row of the health history. Pure."""

from __future__ import annotations

from clients.domain.events import (
    HistoryReported,
    HistoryReviewed,
)
from clients.domain.projecting.rows import instant, plain
from practice.domain.events import Recorded
from practice.domain.projecting import Rows, projector


@projector("clients.HealthHistory", HistoryReported, HistoryReviewed)
def history_row(rows: Rows, rec: Recorded) -> None:
    """The history reviewed last and the reports that no review has covered."""
    row = rows.get(rec.stream) or {"status": "reported", "reviewed_at": None, "reports": []}
    match rec.data:
        case HistoryReported() as event:
            told = {"happened_at": instant(rec), "version": rec.version}
            row["reports"] = [*row["reports"], {**plain(event), **told}]
        case HistoryReviewed() as event:
            covered = {str(one) for one in event.covers}
            row["reports"] = [one for one in row["reports"] if one["report_id"] not in covered]
            if row["reviewed_at"] is None or row["reviewed_at"] <= rec.effective_at:
                row["status"] = "reviewed"
                row["reviewed"] = plain(event.content)
                row["review_id"] = event.review_id
                row["reviewed_at"] = rec.effective_at
                row["reviewed_by"] = event.practitioner_id
    rows.put(rec.stream, row)
