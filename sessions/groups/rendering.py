"""A class as shown, with its places, and what became of each of them."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from clients.identity.display_names import with_display_names
from practice.core.localtime import zone_named
from practice.core.terms import Role
from practice.http.reasons import shown_reasons
from practice.http.representations import Representation
from practice.people_and_places.selectors.kept import (
    facility_names,
    practitioner_names,
    room_names,
)
from practice.work.unit_of_work import UnitOfWork
from sessions.booking.rendering import render_session
from sessions.booking.serializers.freed import serialize_fits
from sessions.booking.services.sessions import SessionCommandResult
from sessions.calendar.models import ExerciseClass, Session
from sessions.calendar.selectors.classes import class_get
from sessions.calendar.selectors.sessions import session_row
from sessions.groups.domain.outcomes import PlaceOutcome
from sessions.groups.serializers import (
    ClassChangedOutputSerializer,
    ClassDetailOutputSerializer,
    ClassDetailsOutputSerializer,
    ClassEnteredOutputSerializer,
    ClassOutputSerializer,
    PlaceBookedOutputSerializer,
)
from sessions.groups.services.classes import ClassResult
from sessions.groups.services.late import EnteredClass
from sessions.series.domain.answers import refusal_member

_COMPUTED = {
    "practitioner_name",
    "facility_name",
    "room_name",
    "starts_at",
    "ends_at",
    "places_taken",
    "places_free",
    "entered_late",
}
_COLUMNS = [name for name in ClassOutputSerializer().get_fields() if name not in _COMPUTED]


def serialize_class(row: ExerciseClass) -> Any:
    """A class with how many places are left."""
    return ClassOutputSerializer(_class(row)).data


def serialize_class_detail(row: ExerciseClass, places: Iterable[Session]) -> Any:
    """A class with who is in it."""
    return ClassDetailOutputSerializer(
        {**_class(row), "places": [_place(one) for one in places]}
    ).data


def render_made(uow: UnitOfWork, done: ClassResult | EnteredClass) -> Representation:
    """A new class; with the sessions of those who had a place where it took place."""
    row = class_get(uow.actor, done.class_id)
    entered = done.places if isinstance(done, EnteredClass) else []
    shown = {
        **_class(row),
        "warnings": shown_reasons(uow.actor.role, done.warnings),
        "places": [render_session(uow, one).data for one in entered],
    }
    return Representation(ClassEnteredOutputSerializer(shown).data, row.revision)


def render_changed(uow: UnitOfWork, done: ClassResult) -> Representation:
    """A class after a command on all its places."""
    row, role = class_get(uow.actor, done.class_id), uow.actor.role
    ids = [one.session_id for one in done.places]
    named = {one.pk: one for one in with_display_names(Session.objects.filter(pk__in=ids))}
    shown = {
        **_class(row),
        "warnings": shown_reasons(role, done.warnings),
        "outcomes": [_outcome(role, one, named[one.session_id]) for one in done.places],
        "waiting_fits": serialize_fits(role, done.freed),
    }
    return Representation(ClassChangedOutputSerializer(shown).data, row.revision)


def render_details(uow: UnitOfWork, done: ClassResult) -> Representation:
    """A class with another title or number of places."""
    row = class_get(uow.actor, done.class_id)
    shown = {**_class(row), "waiting_fits": serialize_fits(uow.actor.role, done.freed)}
    return Representation(ClassDetailsOutputSerializer(shown).data, row.revision)


def render_place(uow: UnitOfWork, done: SessionCommandResult) -> Representation:
    """The client's session, and how many places are left."""
    session = render_session(uow, done)
    class_id = session_row(done.session_id).class_id
    assert class_id is not None  # noqa: S101  it was booked as a place
    row = _class(class_get(uow.actor, class_id))
    left = {name: row[name] for name in ("title", "places_taken", "places_free")}
    shown = PlaceBookedOutputSerializer({"session": session.data, **left}).data
    return Representation(shown, session.version)


def _class(row: ExerciseClass) -> dict[str, Any]:
    zone, taken = zone_named(row.zone), row.taken  # type: ignore[attr-defined]
    return {
        **{name: getattr(row, name) for name in _COLUMNS},
        "practitioner_name": practitioner_names().get(row.practitioner_id, ""),
        "facility_name": facility_names().get(row.facility_id, ""),
        "room_name": room_names().get(row.room_id, "") if row.room_id else "",
        "starts_at": row.starts_at.astimezone(zone),
        "ends_at": row.ends_at.astimezone(zone),
        "places_taken": taken,
        "places_free": 0 if row.is_cancelled else max(0, row.capacity - taken),
        "entered_late": _entered_late(row),
    }


def _entered_late(row: Any) -> dict[str, Any] | None:
    if row.entered_late_at is None:
        return None
    by = {"id": row.entered_late_by, "name": row.entered_late_by_name or ""}
    return {"recorded_at": row.entered_late_at, "recorded_by": by}


def _place(row: Any) -> dict[str, Any]:
    return {
        "session_id": row.pk,
        "client_id": row.client_id,
        "client_name": row.client_name,
        "client_phone": row.client_phone,
        "status": row.status,
        "mode": row.mode,
        "flagged": row.flagged,
    }


def _outcome(role: Role, one: PlaceOutcome, row: Any) -> dict[str, Any]:
    return {
        "result": one.result,
        "session_id": one.session_id,
        "client_id": one.client_id,
        "client_name": row.client_name,
        "client_phone": row.client_phone,
        "warnings": shown_reasons(role, one.warnings),
        "refusal": refusal_member(one.refusal, role),
    }
