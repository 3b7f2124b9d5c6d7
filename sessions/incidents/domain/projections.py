"""The rows of safety incidents. Pure."""

from __future__ import annotations

from uuid import UUID

import msgspec

from clients.identity.domain.rows import to_json
from practice.core.events import RecordedEvent
from practice.core.localtime import local_day
from practice.core.projections import ProjectedRows, Projection
from sessions.incidents.domain import events
from sessions.incidents.domain import incident as folding
from sessions.incidents.domain.incident import Incident

INCIDENT_ROWS = Projection("client_sessions.Incident", watches=(events,))


@INCIDENT_ROWS.on(events.IncidentReported)
def reported(rows: ProjectedRows, event: events.IncidentReported, meta: RecordedEvent) -> None:
    _put(rows, folding.reported(event, meta), meta)


@INCIDENT_ROWS.on(events.IncidentTold, events.IncidentFollowedUp)
def told_or_followed_up(
    rows: ProjectedRows,
    event: events.IncidentTold | events.IncidentFollowedUp,
    meta: RecordedEvent,
) -> None:
    if (one := _incident(rows, event.incident_id)) is not None:
        _put(rows, folding.stepped(one, event, meta), meta)


@INCIDENT_ROWS.on(events.IncidentClosed, events.IncidentReopened)
def closed_or_reopened(
    rows: ProjectedRows, event: events.IncidentClosed | events.IncidentReopened, meta: RecordedEvent
) -> None:
    if (one := _incident(rows, event.incident_id)) is not None:
        _put(rows, folding.stepped(one, event, meta), meta)


@INCIDENT_ROWS.on(events.IncidentCorrected)
def corrected(rows: ProjectedRows, event: events.IncidentCorrected, meta: RecordedEvent) -> None:
    if (one := _incident(rows, event.incident_id)) is not None:
        _put(rows, folding.corrected(one, event), meta)


@INCIDENT_ROWS.on(events.IncidentStepInError)
def step_in_error(
    rows: ProjectedRows, event: events.IncidentStepInError, meta: RecordedEvent
) -> None:
    if (one := _incident(rows, event.incident_id)) is not None:
        _put(rows, folding.step_in_error(one, event), meta)


@INCIDENT_ROWS.on(events.IncidentEnteredInError)
def in_error(
    rows: ProjectedRows, event: events.IncidentEnteredInError, meta: RecordedEvent
) -> None:
    if (one := _incident(rows, event.incident_id)) is not None:
        _put(rows, folding.in_error(one, event), meta)


def _incident(rows: ProjectedRows, incident_id: UUID) -> Incident | None:
    row = rows.get(incident_id)
    return None if row is None else msgspec.convert(row["incident"], Incident)


def _put(rows: ProjectedRows, one: Incident, meta: RecordedEvent) -> None:
    content = one.content
    rows.put(
        one.id,
        {
            "kind": content.kind,
            "status": one.status,
            "happened_at": content.happened_at,
            "local_date": local_day(content.happened_at, one.zone),
            "zone": one.zone,
            "facility_id": content.facility_id,
            "session_id": content.session_id,
            "practitioner_id": content.practitioner_id,
            "reported_at": one.reported_at,
            "reported_by": one.reported_by,
            "call_on": one.call_on,
            "call_asked_at": one.call_asked_at,
            "closed_at": one.closed_at,
            "changed_at": meta.recorded_at,
            "incident": to_json(one),
        },
    )
