"""The rows of clients and of where they are known. Pure."""

from __future__ import annotations

from uuid import UUID, uuid5

from clients.identity.domain import events
from clients.identity.domain.names import full_name, search_key
from clients.identity.domain.rows import to_json
from practice.core.events import RecordedEvent
from practice.core.projections import ProjectedRows, Projection

KNOWN_AT = UUID("5c1a2f0e-5b1d-4d53-9b6e-0b5f3c0f4f10")
"""Namespace of the ids of ``ClientFacility`` rows: UUID version 5 of client and facility."""


CLIENT_ROWS = Projection("clients.Client", watches=(events,))
FACILITY_ROWS = Projection("clients.ClientFacility", watches=(events,))


@CLIENT_ROWS.on(events.ClientRegistered, events.ClientDetailsChanged)
def details_known(
    rows: ProjectedRows,
    event: events.ClientRegistered | events.ClientDetailsChanged,
    meta: RecordedEvent,
) -> None:
    details = event.details
    before = rows.get(meta.stream)
    given, family = search_key(details.given_name), search_key(details.family_name)
    rows.put(
        meta.stream,
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
            "registered_at": before["registered_at"] if before else meta.recorded_at,
        },
    )


@FACILITY_ROWS.on(events.ClientRegistered, events.ClientDetailsChanged)
def facilities_known(
    rows: ProjectedRows,
    event: events.ClientRegistered | events.ClientDetailsChanged,
    meta: RecordedEvent,
) -> None:
    """One row for each facility where the client is known."""
    wanted = {
        uuid5(KNOWN_AT, f"{meta.stream}:{facility}"): facility
        for facility in event.details.facility_ids
    }
    there = {key for key, _ in list(rows.all())}
    for key in there - wanted.keys():
        rows.delete(key)
    for key in wanted.keys() - there:
        rows.put(key, {"facility_id": wanted[key]})
