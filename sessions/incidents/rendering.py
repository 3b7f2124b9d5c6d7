"""Safety incidents as a role may read them: what happened, to practitioners and owner alone."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any
from uuid import UUID

import msgspec

from clients.identity.display_names import with_display_names
from practice.clock import clock
from practice.core.localtime import zone_named
from practice.core.terms import Role
from practice.http.representations import Representation, with_warnings
from practice.http.roles import CLINICAL
from practice.people_and_places.models.staff import Staff
from practice.work.unit_of_work import Outcome, UnitOfWork
from sessions.incidents.domain.incident import Incident, IncidentStep
from sessions.incidents.domain.terms import IncidentStatus
from sessions.incidents.models import Incident as IncidentRow
from sessions.incidents.selectors import incident_row
from sessions.incidents.serializers import IncidentOutputSerializer


def serialize_incidents(role: Role, rows: Sequence[IncidentRow]) -> list[dict[str, Any]]:
    """Incidents with names: a few queries for them all."""
    named = with_display_names(rows)
    found = [(row, msgspec.convert(row.incident, Incident)) for row in named]
    people = _staff_names([one for _, one in found])
    shown = [_incident(role, row, one, people) for row, one in found]
    return IncidentOutputSerializer(shown, many=True).data  # type: ignore[return-value]


def render_incident(uow: UnitOfWork, outcome: Outcome) -> Representation:
    """The incident as it stands after a command; the ETag is that of the whole record."""
    (shown,) = serialize_incidents(uow.actor.role, [incident_row(outcome.entity_id)])
    return Representation(shown, outcome.version)


def render_closed_incident(uow: UnitOfWork, outcome: Outcome) -> Representation:
    """The same, with what the closing ended beside the follow-up."""
    shown = render_incident(uow, outcome)
    return with_warnings(shown.data, outcome.warnings, outcome.version)


def _staff_names(incidents: Sequence[Incident]) -> dict[UUID, str]:
    wanted = {one.reported_by for one in incidents}
    wanted |= {step.by for one in incidents for step in one.steps}
    if not wanted:
        return {}
    return dict(Staff.objects.filter(pk__in=wanted).values_list("pk", "name"))


def _incident(
    role: Role, row: IncidentRow, one: Incident, people: dict[UUID, str]
) -> dict[str, Any]:
    shown = {
        "id": row.pk,
        "client_id": row.client_id,
        "client_name": row.client_name,  # type: ignore[attr-defined]
        "status": row.status,
        "happened_at": _local(row, row.happened_at),
        "facility_id": row.facility_id,
        "facility_name": row.facility_name,  # type: ignore[attr-defined]
        "session_id": row.session_id,
        "practitioner_id": row.practitioner_id,
        "practitioner_name": row.practitioner_name,  # type: ignore[attr-defined]
        "reported_at": _local(row, row.reported_at),
        "reported_by_name": people.get(one.reported_by, ""),
        "open_days": _open_days(row),
        "call_on": row.call_on,
        "closed_at": row.closed_at and _local(row, row.closed_at),
        "steps": [_step(role, row, step, people) for step in one.steps],
        "corrections": one.corrections if role in CLINICAL else [],
        "in_error": one.in_error if role in CLINICAL else "",
        "version": row.version,
    }
    if role in CLINICAL:
        shown["kind"] = row.kind
        shown["what_happened"] = one.content.what_happened
        shown["done_at_once"] = one.content.done_at_once
    return shown


def _open_days(row: IncidentRow) -> int | None:
    open_ = row.status == IncidentStatus.OPEN
    return (clock.now() - row.reported_at).days if open_ else None


def _step(
    role: Role, row: IncidentRow, step: IncidentStep, people: dict[UUID, str]
) -> dict[str, Any]:
    shown = {
        "id": step.id,
        "kind": step.kind,
        "at": _local(row, step.at),
        "by_name": people.get(step.by, ""),
        "whom": step.whom,
        "name": step.name,
        "call_on": step.call_on,
        "in_error": step.in_error if role in CLINICAL else "",
    }
    return {**shown, "words": step.words} if role in CLINICAL else shown


def _local(row: IncidentRow, at: datetime) -> datetime:
    return at.astimezone(zone_named(row.zone))
