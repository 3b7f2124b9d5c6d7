"""The rows of the clients floor's read tables, from the events of one client. Pure."""

from __future__ import annotations

from datetime import UTC
from typing import Any, cast
from uuid import UUID, uuid5

import msgspec

from clients.domain.events import (
    ClientDetailsChanged,
    ClientRegistered,
    ConsentDeclined,
    ConsentRecorded,
    ConsentWithdrawn,
    Details,
    HistoryReported,
    HistoryReviewed,
    OrderFiled,
    OrderLifted,
    PreferenceExceptionAgreed,
    PreferenceStated,
)
from clients.domain.names import folded, whole
from clients.domain.terms import ConsentStatus
from practice.domain.events import Recorded
from practice.domain.projecting import Row, Rows, projector

KNOWN_AT = UUID("5c1a2f0e-5b1d-4d53-9b6e-0b5f3c0f4f10")
"""Namespace of the ids of ``ClientFacility`` rows: UUID version 5 of client and facility."""


def plain(value: Any) -> Any:
    """A struct or list of structs as JSON has it."""
    return msgspec.to_builtins(value)


def _instant(rec: Recorded) -> str:
    """When it happened, in UTC, so that every replay writes the same text."""
    return rec.effective_at.astimezone(UTC).isoformat()


def _details(rec: Recorded) -> Details:
    return cast("ClientRegistered | ClientDetailsChanged", rec.data).details


@projector("clients.Client", ClientRegistered, ClientDetailsChanged)
def client_row(rows: Rows, rec: Recorded) -> None:
    """One row a client."""
    details = _details(rec)
    before = rows.get(rec.stream)
    given, family = folded(details.given_name), folded(details.family_name)
    rows.put(
        rec.stream,
        {
            "name": whole(details.given_name, details.family_name),
            "given_name": details.given_name,
            "family_name": details.family_name,
            "by_family": f"{family} {given}".strip(),
            "by_given": f"{given} {family}".strip(),
            "birth_date": details.birth_date,
            "phone": details.phone,
            "email": details.email,
            "zone": details.zone,
            "language": details.language,
            "contact_by": details.contact_by,
            "facility_ids": plain(details.facility_ids),
            "registered_at": before["registered_at"] if before else rec.recorded_at,
        },
    )


@projector("clients.ClientFacility", ClientRegistered, ClientDetailsChanged)
def facility_rows(rows: Rows, rec: Recorded) -> None:
    """One row for each facility where she is known."""
    wanted = {
        uuid5(KNOWN_AT, f"{rec.stream}:{facility}"): facility
        for facility in _details(rec).facility_ids
    }
    there = {key for key, _ in list(rows.all())}
    for key in there - wanted.keys():
        rows.delete(key)
    for key in wanted.keys() - there:
        rows.put(key, {"facility_id": wanted[key]})


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


@projector("clients.Preference", PreferenceStated, PreferenceExceptionAgreed)
def preference_row(rows: Rows, rec: Recorded) -> None:
    """The preference stated last, and the exceptions agreed since."""
    row = rows.get(rec.stream) or {"exceptions": [], "stated_at": None, "stated_version": 0}
    match rec.data:
        case PreferenceStated(preference=stated):
            if row["stated_at"] is not None and row["stated_at"] > rec.effective_at:
                return
            row["stated_at"], row["stated_version"] = rec.effective_at, rec.version
            row["scope"] = stated.scope if stated else ""
            row["gender"] = (stated.gender or "") if stated else ""
            row["practitioners"] = plain(stated.practitioners) if stated else []
        case PreferenceExceptionAgreed() as event:
            agreed = {"agreed_at": _instant(rec), "version": rec.version}
            row["exceptions"] = [*row["exceptions"], {**plain(event), **agreed}]
    rows.put(rec.stream, row)


@projector("clients.HealthHistory", HistoryReported, HistoryReviewed)
def history_row(rows: Rows, rec: Recorded) -> None:
    """The history reviewed last and the reports that no review has covered."""
    row = rows.get(rec.stream) or {"status": "reported", "reviewed_at": None, "reports": []}
    match rec.data:
        case HistoryReported() as event:
            told = {"happened_at": _instant(rec), "version": rec.version}
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


@projector("clients.Order", OrderFiled, OrderLifted)
def order_row(rows: Rows, rec: Recorded) -> None:
    """One row a paper."""
    match rec.data:
        case OrderFiled(order=order):
            filed = msgspec.structs.asdict(order)
            del filed["id"]
            for name in ("subjects", "sites", "techniques", "limits"):
                filed[name] = plain(filed[name])
            rows.put(order.id, {**filed, "lifted_on": None, "filed_at": rec.recorded_at})
        case OrderLifted() as event:
            rows.change(
                event.order_id,
                lifted_on=event.lifted_on,
                lifted_by=event.lifted_by,
                lifted_reason=event.reason,
            )
