"""The row of the touch consent: the same ledger as the slice's, and what stands of it. Pure."""

from __future__ import annotations

import msgspec

from clients.consent.domain import events
from clients.consent.domain import ledger as entries
from clients.consent.domain.ledger import ConsentLedger, Entry
from clients.consent.domain.state import consent_facts
from clients.identity.domain import events as identity_events
from clients.identity.domain.rows import to_json
from practice.core.events import RecordedEvent
from practice.core.projections import ProjectedRows, Projection

CONSENT_ROWS = Projection(
    "clients.Consent",
    watches=(events, identity_events),
    ignores=(identity_events.ClientRegistered,),
    version=2,
)


@CONSENT_ROWS.on(events.ConsentRecorded)
def recorded(rows: ProjectedRows, event: events.ConsentRecorded, meta: RecordedEvent) -> None:
    _put(rows, entries.with_grant(_ledger(rows, meta), event, meta), meta)


@CONSENT_ROWS.on(events.ConsentDeclined, events.ConsentWithdrawn)
def narrowed(
    rows: ProjectedRows,
    event: events.ConsentDeclined | events.ConsentWithdrawn,
    meta: RecordedEvent,
) -> None:
    _put(rows, entries.with_narrowing(_ledger(rows, meta), event, meta), meta)


@CONSENT_ROWS.on(events.ConsentConfirmed)
def confirmed(rows: ProjectedRows, event: events.ConsentConfirmed, meta: RecordedEvent) -> None:
    _put(rows, entries.with_confirmation(_ledger(rows, meta), event, meta), meta)


@CONSENT_ROWS.on(identity_events.ClientDetailsChanged)
def guardian_changed(
    rows: ProjectedRows, event: identity_events.ClientDetailsChanged, meta: RecordedEvent
) -> None:
    before = _ledger(rows, meta)
    ledger = entries.with_guardian(before, event.details.guardian)
    if ledger != before:
        _put(rows, ledger, meta)


def _ledger(rows: ProjectedRows, meta: RecordedEvent) -> ConsentLedger:
    row = rows.get(meta.stream)
    return msgspec.convert(row["ledger"], ConsentLedger) if row else ConsentLedger()


def _put(rows: ProjectedRows, ledger: ConsentLedger, meta: RecordedEvent) -> None:
    facts, grant, last = consent_facts(ledger), ledger.standing, ledger.last_full_narrowing
    obtained = grant.obtained if grant else None
    entry: Entry | None = grant or last
    rows.put(
        meta.stream,
        {
            "status": facts.status,
            "consent_id": facts.consent_id,
            "sites": to_json(facts.sites),
            "techniques": to_json(facts.techniques),
            "practitioner_ids": to_json(facts.practitioner_ids),
            "gender": facts.gender or "",
            "support_person": facts.support_person,
            "interpreter": facts.interpreter,
            "given_on": facts.given_on,
            "until": facts.until,
            "form": obtained.form if obtained else "",
            "language": facts.language,
            "obtained_by": obtained.by if obtained else "",
            "witness": obtained.witness if obtained else "",
            "typed_name": obtained.typed_name if obtained else "",
            "reason": last.reason if last and grant is None else "",
            "ledger": to_json(ledger),
            "occurred_at": entry.said_at if entry else meta.occurred_at,
            "recorded_at": entry.recorded_at if entry else meta.recorded_at,
            "recorded_by": entry.recorded_by if entry else meta.actor,
        },
    )
