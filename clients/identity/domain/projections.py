"""The rows of clients and of where they are known. Pure."""

from __future__ import annotations

from typing import cast
from uuid import UUID, uuid5

from clients.identity.domain.events import ClientDetails, ClientDetailsChanged, ClientRegistered
from clients.identity.domain.names import full_name, search_key
from clients.identity.domain.rows import to_json
from practice.core.events import RecordedEvent
from practice.core.projections import ProjectedRows, projection

KNOWN_AT = UUID("5c1a2f0e-5b1d-4d53-9b6e-0b5f3c0f4f10")
"""Namespace of the ids of ``ClientFacility`` rows: UUID version 5 of client and facility."""


def _details(rec: RecordedEvent) -> ClientDetails:
    return cast("ClientRegistered | ClientDetailsChanged", rec.data).details


@projection("clients.Client", ClientRegistered, ClientDetailsChanged)
def client_row(rows: ProjectedRows, rec: RecordedEvent) -> None:
    """One row a client."""
    details = _details(rec)
    before = rows.get(rec.stream)
    given, family = search_key(details.given_name), search_key(details.family_name)
    rows.put(
        rec.stream,
        {
            "name": full_name(details.given_name, details.family_name),
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
            "facility_ids": to_json(details.facility_ids),
            "registered_at": before["registered_at"] if before else rec.recorded_at,
        },
    )


@projection("clients.ClientFacility", ClientRegistered, ClientDetailsChanged)
def facility_rows(rows: ProjectedRows, rec: RecordedEvent) -> None:
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
