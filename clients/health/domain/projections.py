"""The row of the health history: the one reviewed last and the reports that no review has
covered. Pure."""

from __future__ import annotations

from clients.health.domain import events
from clients.identity.domain.rows import instant, to_json
from practice.core.events import RecordedEvent
from practice.core.projections import ProjectedRow, ProjectedRows, Projection

HISTORY_ROWS = Projection("clients.HealthHistory", watches=(events,))


@HISTORY_ROWS.on(events.HistoryReported)
def reported(rows: ProjectedRows, event: events.HistoryReported, meta: RecordedEvent) -> None:
    row = rows.get(meta.stream) or _unreviewed()
    told = {"occurred_at": instant(meta.occurred_at), "version": meta.version}
    report = {**to_json(event), **told}
    rows.put(meta.stream, {**row, "reports": [*row["reports"], report]})


@HISTORY_ROWS.on(events.HistoryReviewed)
def reviewed(rows: ProjectedRows, event: events.HistoryReviewed, meta: RecordedEvent) -> None:
    row = rows.get(meta.stream) or _unreviewed()
    if row["reviewed_at"] is not None and meta.occurred_at < row["reviewed_at"]:
        # Entered after a later review: it narrows, frees nothing and waits for the next review.
        late = {
            "report_id": str(event.review_id),
            "content": to_json(event.content),
            "informant": "",
            "occurred_at": instant(meta.occurred_at),
            "version": meta.version,
        }
        rows.put(meta.stream, {**row, "reports": [*row["reports"], late]})
        return
    covered = {str(one) for one in event.covers}
    row["reports"] = [one for one in row["reports"] if one["report_id"] not in covered]
    row["status"] = "reviewed"
    row["reviewed"] = to_json(event.content)
    row["review_id"] = event.review_id
    row["reviewed_at"] = meta.occurred_at
    row["reviewed_by"] = event.practitioner_id
    rows.put(meta.stream, row)


def _unreviewed() -> ProjectedRow:
    return {"status": "reported", "reviewed_at": None, "reports": []}
