"""The row of the touch consent. Pure."""

from __future__ import annotations

from clients.domain.events import (
    ConsentDeclined,
    ConsentRecorded,
    ConsentWithdrawn,
)
from clients.domain.projecting.rows import plain
from clients.domain.terms import ConsentStatus
from practice.domain.events import Recorded
from practice.domain.projecting import Row, Rows, projector


@projector("clients.Consent", ConsentRecorded, ConsentDeclined, ConsentWithdrawn)
def consent_row(rows: Rows, rec: Recorded) -> None:
    """The consent that happened last; one recorded late may have been overtaken already."""
    before = rows.get(rec.stream)
    if before is not None and before["happened_at"] > rec.effective_at:
        return
    row: Row
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
        "happened_at": rec.effective_at,
        "recorded_at": rec.recorded_at,
        "recorded_by": rec.actor,
    }
    rows.put(rec.stream, {**row, **when})


def _granted(event: ConsentRecorded) -> Row:
    scope, obtained = event.scope, event.obtained
    return {
        "status": ConsentStatus.GRANTED,
        "consent_id": event.consent_id,
        "sites": plain(scope.sites),
        "techniques": plain(scope.techniques),
        "practitioners": plain(scope.practitioners),
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
