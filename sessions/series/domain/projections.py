"""The rows of series, as they were booked; their sessions have rows of their own. Pure."""

from __future__ import annotations

import msgspec

from practice.core.events import RecordedEvent
from practice.core.projections import ProjectedRows, Projection
from sessions.series.domain import events

SERIES_ROWS = Projection(
    "client_sessions.SessionSeries",
    watches=(events,),
    ignores=(events.SeriesMoved, events.SeriesCancelled),
)


@SERIES_ROWS.on(events.SeriesBooked)
def booked(rows: ProjectedRows, event: events.SeriesBooked, meta: RecordedEvent) -> None:
    rows.put(
        event.series_id,
        {
            "practitioner_id": event.practitioner_id,
            "facility_id": event.facility_id,
            "room_id": event.room_id,
            "starts_at": event.starts_at,
            "zone": event.zone,
            "minutes": event.minutes,
            "rule": event.rule,
            "purpose": event.purpose,
            "requested_mode": event.requested_mode or "",
            "kind_id": event.kind.kind_id if event.kind else None,
            "kind_name": event.kind.name if event.kind else "",
            "overruled": event.overruled,
            "refused": msgspec.to_builtins(event.refused),
        },
    )
