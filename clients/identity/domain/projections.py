"""The rows of clients and of where they are known. Pure."""

from __future__ import annotations

from typing import Any
from uuid import UUID, uuid5

from clients.identity.domain import events
from clients.identity.domain.names import (
    full_name,
    parts_of_person,
    phone_code,
    search_codes,
    search_key,
)
from clients.identity.domain.rows import to_json
from practice.core.events import RecordedEvent
from practice.core.projections import ProjectedRow, ProjectedRows, Projection

KNOWN_AT = UUID("5c1a2f0e-5b1d-4d53-9b6e-0b5f3c0f4f10")
"""Namespace of the ids of ``ClientFacility`` rows: UUID version 5 of client and facility."""
FOUND_BY = UUID("3f0c1b52-64c5-4c0e-9a43-9f0d6f7b7a21")
"""Namespace of the ids of ``ClientSearchCode`` rows: UUID version 5 of client, code and part."""


CLIENT_ROWS = Projection("clients.Client", watches=(events,), version=2)
SEARCH_ROWS = Projection("clients.ClientSearchCode", watches=(events,))
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
            "phones": to_json(details.known_phones()),
            "contact_also_by": to_json(details.contact_also_by),
            "contact_hours": to_json(details.contact_hours),
            "interpreter_needed": details.interpreter_needed,
            "emergency_contacts": to_json(details.emergency_contacts),
            "referrer": to_json(details.referrer),
            "guardian": to_json(details.guardian),
            "unsuitable_times": to_json(details.unsuitable_times),
            "planned_sessions_per_week": details.planned_sessions_per_week,
            "told_apart_from": to_json(details.told_apart_from),
            "doubles_shown": _doubles_shown(event, before),
        },
    )


def _doubles_shown(
    event: events.ClientRegistered | events.ClientDetailsChanged, before: ProjectedRow | None
) -> Any:
    if isinstance(event, events.ClientRegistered):
        return to_json(event.doubles_shown)
    return before["doubles_shown"] if before else []


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


@SEARCH_ROWS.on(events.ClientRegistered, events.ClientDetailsChanged)
def found_by(
    rows: ProjectedRows,
    event: events.ClientRegistered | events.ClientDetailsChanged,
    meta: RecordedEvent,
) -> None:
    """One row for each code that the client is found by."""
    details = event.details
    codes = list(search_codes(parts_of_person(details.given_name, details.family_name)))
    codes += [(phone_code(one.number), "") for one in details.known_phones()]
    wanted = {uuid5(FOUND_BY, f"{meta.stream}:{code}:{part}"): (code, part) for code, part in codes}
    there = {key for key, _ in list(rows.all())}
    for key in there - wanted.keys():
        rows.delete(key)
    for key in wanted.keys() - there:
        code, part = wanted[key]
        rows.put(key, {"code": code, "part": part})
