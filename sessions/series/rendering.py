"""A series as a role may read it, and what a command made of each of its sessions."""

from __future__ import annotations

from datetime import datetime
from typing import Any
from uuid import UUID

from clients.identity.display_names import with_display_names
from practice.core.decisions import Actor
from practice.core.localtime import zone_named
from practice.core.terms import Role
from practice.http.reasons import serialize_stored_reasons, shown_reasons
from practice.http.representations import Representation
from practice.work.unit_of_work import UnitOfWork
from sessions.booking.serializers.freed import serialize_fits
from sessions.calendar.models import Session
from sessions.series.domain.answers import (
    Occurrence,
    OccurrenceResult,
    count_of,
    counts_against_calendar,
    refusal_member,
)
from sessions.series.models import SessionSeries
from sessions.series.selectors import sessions_of_series
from sessions.series.serializers import SeriesOutputSerializer, SeriesResultOutputSerializer
from sessions.series.services.results import SeriesResult


def render_series_result(uow: UnitOfWork, done: SeriesResult) -> Representation:
    """What became of each session, the session with it as it stands now."""
    rows: dict[UUID | None, Session] = {
        one.pk: one for one in sessions_of_series(uow.actor, done.series_id)
    }
    shown = {
        "id": done.series_id,
        "client_id": done.client_id,
        **{one.value: count_of(done.occurrences, one) for one in OccurrenceResult},
        **counts_against_calendar(done.occurrences),
        "occurrences": [
            {
                **_occurrence(uow.actor.role, one, rows.get(one.session_id)),
                "waiting_fits": _fits(uow.actor.role, done, one),
            }
            for one in done.occurrences
        ],
    }
    return Representation(SeriesResultOutputSerializer(shown).data)


def _occurrence(role: Role, one: Occurrence, row: Session | None) -> dict[str, Any]:
    return {
        "result": one.result,
        "starts_at": one.starts_at.astimezone(zone_named(one.zone)),
        "session": _session(role, row) if row is not None else None,
        "warnings": shown_reasons(role, one.warnings),
        "refusal": refusal_member(one.refusal, role),
        "left_because": one.left_because,
    }


def _fits(role: Role, done: SeriesResult, one: Occurrence) -> dict[str, Any] | None:
    found = done.freed.get(one.session_id) if one.session_id else None
    return None if found is None else serialize_fits(role, found)


def serialize_series(actor: Actor, row: SessionSeries) -> Any:
    """A series as it was booked, with its sessions as they stand."""
    if not hasattr(row, "client_name"):
        with_display_names([row])
    zone = zone_named(row.zone)
    return SeriesOutputSerializer(
        {
            **{name: getattr(row, name) for name in _COLUMNS},
            "starts_at": row.starts_at.astimezone(zone),
            "requested_mode": row.requested_mode or None,
            "sessions": [_session(actor.role, one) for one in sessions_of_series(actor, row.pk)],
            "not_booked": [_not_booked(actor.role, zone, one) for one in row.refused],
        }
    ).data


_COLUMNS = (
    "id",
    "client_id",
    "client_name",
    "practitioner_id",
    "practitioner_name",
    "facility_id",
    "facility_name",
    "room_id",
    "room_name",
    "zone",
    "minutes",
    "rule",
    "purpose",
    "kind_id",
    "kind_name",
    "overruled",
)


def _not_booked(role: Role, zone: Any, refused: dict[str, Any]) -> dict[str, Any]:
    return {
        "starts_at": datetime.fromisoformat(refused["starts_at"]).astimezone(zone),
        "code": refused["code"],
        "reasons": serialize_stored_reasons(role, refused["reasons"]),
    }


def _session(role: Role, row: Session) -> dict[str, Any]:
    zone = zone_named(row.zone)
    return {
        "id": row.pk,
        "starts_at": row.starts_at.astimezone(zone),
        "ends_at": row.ends_at.astimezone(zone),
        "local_date": row.local_date,
        "status": row.status,
        "practitioner_id": row.practitioner_id,
        "practitioner_name": row.practitioner_name,  # type: ignore[attr-defined]
        "room_id": row.room_id,
        "room_name": row.room_name,  # type: ignore[attr-defined]
        "mode": row.mode,
        "kind_id": row.kind_id,
        "kind_name": row.kind_name,
        "flagged": row.flagged,
        "reasons": serialize_stored_reasons(role, row.reasons),
        "series_exception": row.series_exception,
    }
