"""The row of the touch consent. Pure."""

from __future__ import annotations

from clients.consent.domain.events import ConsentDeclined, ConsentRecorded, ConsentWithdrawn
from clients.consent.domain.terms import ConsentStatus
from clients.identity.domain.rows import to_json
from practice.core.events import RecordedEvent
from practice.core.projections import ProjectedRow, ProjectedRows, projection


@projection("clients.Consent", ConsentRecorded, ConsentDeclined, ConsentWithdrawn)
def consent_row(rows: ProjectedRows, rec: RecordedEvent) -> None:
    """The consent that happened last; one recorded late may have been overtaken already."""
    before = rows.get(rec.stream)
    if before is not None and before["occurred_at"] > rec.occurred_at:
        return
    row: ProjectedRow
    match rec.data:
        case ConsentRecorded() as event:
            row = _granted(event)
        case ConsentDeclined(consent_id=consent_id, reason=reason):
            row = {"status": ConsentStatus.DECLINED, "consent_id": consent_id, "reason": reason}
        case ConsentWithdrawn(consent_id=consent_id, reason=reason):
            row = {"status": ConsentStatus.WITHDRAWN, "consent_id": consent_id, "reason": reason}
        case _:
            return
    when = {
        "occurred_at": rec.occurred_at,
        "recorded_at": rec.recorded_at,
        "recorded_by": rec.actor,
    }
    rows.put(rec.stream, {**row, **when})


def _granted(event: ConsentRecorded) -> ProjectedRow:
    scope, obtained = event.scope, event.obtained
    return {
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
