"""The row of the touch consent. Pure."""

from __future__ import annotations

from clients.consent.domain import events
from clients.consent.domain.terms import ConsentStatus
from clients.identity.domain.rows import to_json
from practice.core.events import RecordedEvent
from practice.core.projections import ProjectedRow, ProjectedRows, Projection

CONSENT_ROWS = Projection("clients.Consent", watches=(events,))


@CONSENT_ROWS.on(events.ConsentRecorded)
def recorded(rows: ProjectedRows, event: events.ConsentRecorded, meta: RecordedEvent) -> None:
    scope, obtained = event.scope, event.obtained
    granted = {
        "status": ConsentStatus.GRANTED,
        "consent_id": event.consent_id,
        "sites": to_json(scope.sites),
        "techniques": to_json(scope.techniques),
        "practitioner_ids": to_json(scope.practitioner_ids),
        "gender": scope.gender or "",
        "support_person": scope.support_person,
        "interpreter": scope.interpreter,
        "given_on": event.given_on,
        "until": event.until,
        "form": obtained.form,
        "language": obtained.language,
        "obtained_by": obtained.by,
        "witness": obtained.witness,
        "typed_name": obtained.typed_name,
    }
    _put(rows, granted, meta)


@CONSENT_ROWS.on(events.ConsentDeclined)
def declined(rows: ProjectedRows, event: events.ConsentDeclined, meta: RecordedEvent) -> None:
    row = {
        "status": ConsentStatus.DECLINED,
        "consent_id": event.consent_id,
        "reason": event.reason,
    }
    _put(rows, row, meta)


@CONSENT_ROWS.on(events.ConsentWithdrawn)
def withdrawn(rows: ProjectedRows, event: events.ConsentWithdrawn, meta: RecordedEvent) -> None:
    row = {
        "status": ConsentStatus.WITHDRAWN,
        "consent_id": event.consent_id,
        "reason": event.reason,
    }
    _put(rows, row, meta)


def _put(rows: ProjectedRows, row: ProjectedRow, meta: RecordedEvent) -> None:
    """The consent that happened last stands; one recorded late may have been overtaken."""
    before = rows.get(meta.stream)
    if before is None or meta.order > (
        before["occurred_at"],
        before["recorded_at"],
        before["version"],
    ):
        when = {
            "occurred_at": meta.occurred_at,
            "recorded_at": meta.recorded_at,
            "recorded_by": meta.actor,
        }
        rows.put(meta.stream, {**row, **when})
