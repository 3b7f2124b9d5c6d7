"""The row of the health history. Pure."""

from __future__ import annotations

from clients.health.domain.events import HistoryReported, HistoryReviewed
from clients.identity.domain.rows import instant, to_json
from practice.core.events import RecordedEvent
from practice.core.projections import ProjectedRows, projection


@projection("clients.HealthHistory", HistoryReported, HistoryReviewed)
def history_row(rows: ProjectedRows, rec: RecordedEvent) -> None:
    """The history reviewed last and the reports that no review has covered."""
    row = rows.get(rec.stream) or {"status": "reported", "reviewed_at": None, "reports": []}
    match rec.data:
        case HistoryReported() as event:
            told = {"occurred_at": instant(rec), "version": rec.version}
            row["reports"] = [*row["reports"], {**to_json(event), **told}]
        case HistoryReviewed() as event:
            covered = {str(one) for one in event.covers}
            row["reports"] = [one for one in row["reports"] if one["report_id"] not in covered]
            if row["reviewed_at"] is None or row["reviewed_at"] <= rec.occurred_at:
                row["status"] = "reviewed"
                row["reviewed"] = to_json(event.content)
                row["review_id"] = event.review_id
                row["reviewed_at"] = rec.occurred_at
                row["reviewed_by"] = event.practitioner_id
    rows.put(rec.stream, row)
