"""Absences and closures as shown, with the sessions that they meet, and what moves made."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import timedelta
from typing import Any

from clients.identity.display_names import with_display_names
from clients.identity.models import Client
from practice.core.decisions import Actor
from practice.core.localtime import zone_named
from practice.core.reasons import Reason
from practice.core.terms import Role
from practice.http.reasons import shown_reasons
from practice.http.representations import Representation, with_warnings
from practice.people_and_places.models.exceptions import Absence, Closure, ExtraHours
from practice.people_and_places.selectors.kept import (
    facility_names,
    practitioner_names,
    room_names,
)
from practice.work.unit_of_work import UnitOfWork
from sessions.absences.domain.moves import MoveOutcome
from sessions.absences.selectors.classes_met import MetClass, MetClasses, classes_met
from sessions.absences.selectors.met import met_count
from sessions.absences.selectors.stand_ins import LeftOut, MetSession, StandIn
from sessions.absences.serializers.met import MetSessionOutputSerializer, MovesOutputSerializer
from sessions.absences.serializers.recording import (
    AbsenceDetailOutputSerializer,
    AbsenceOutputSerializer,
    AbsenceRecordedOutputSerializer,
    ClosureDetailOutputSerializer,
    ClosureOutputSerializer,
    ClosureRecordedOutputSerializer,
    ExtraHoursSerializer,
)
from sessions.absences.services.moves import MovesResult
from sessions.absences.services.recording import Recorded
from sessions.calendar.selectors.facilities import facility_calendar
from sessions.series.domain.answers import refusal_member

_COLUMNS = (
    "version",
    "client_id",
    "client_name",
    "client_phone",
    "client_contact_by",
    "practitioner_id",
    "practitioner_name",
    "facility_id",
    "facility_name",
    "room_name",
    "mode",
    "class_id",
)


def render_recorded(uow: UnitOfWork, done: Recorded) -> Representation:
    """What was recorded, and the sessions that it meets."""
    sessions = {
        "still_without": done.count,
        "elsewhere": done.elsewhere,
        "without_stand_in": sum(not one.stand_ins for one in done.first),
        "first": _met(uow.actor.role, done.first),
    }
    absence = isinstance(done.row, Absence)
    form = AbsenceRecordedOutputSerializer if absence else ClosureRecordedOutputSerializer
    shown = form(_with(done.row, sessions, done.classes)).data
    return Representation(shown, done.row.revision)


def render_lifted(_uow: UnitOfWork, row: Absence | Closure) -> Representation:
    """An absence or a closure as it stands."""
    return Representation(serialize_off(row), row.revision)


def serialize_off(row: Absence | Closure) -> Any:
    """A row of a list."""
    form = AbsenceOutputSerializer if isinstance(row, Absence) else ClosureOutputSerializer
    return form(row).data


def serialize_off_detail(actor: Actor, row: Absence | Closure, now: Any) -> Any:
    """One of them, with how many sessions and which classes are still left."""
    count, elsewhere = met_count(actor, row, now)
    absence = isinstance(row, Absence)
    form = AbsenceDetailOutputSerializer if absence else ClosureDetailOutputSerializer
    sessions = {"still_without": count, "elsewhere": elsewhere}
    return form(_with(row, sessions, classes_met(actor, row, now))).data


def _with(row: Absence | Closure, sessions: dict[str, Any], classes: MetClasses) -> Any:
    row.sessions = sessions  # type: ignore[union-attr]  # shown beside its columns
    row.classes = _classes(classes)  # type: ignore[union-attr]  # likewise
    return row


def _met(role: Role, found: Sequence[MetSession]) -> list[dict[str, Any]]:
    with_display_names([one.row for one in found])
    return [_of_one(role, one) for one in found]


def serialize_met(role: Role, found: Sequence[MetSession]) -> Any:
    """Sessions that are left, with who may take each over, as a role may read it."""
    return MetSessionOutputSerializer(_met(role, found), many=True).data


def _of_one(role: Role, one: MetSession) -> dict[str, Any]:
    row = one.row
    zone = zone_named(row.zone)
    return {
        **{name: getattr(row, name) for name in _COLUMNS},
        "session_id": row.pk,
        "starts_at": row.starts_at.astimezone(zone),
        "ends_at": row.ends_at.astimezone(zone),
        "stand_ins": [{**_who(role, who), "mode": who.mode} for who in one.stand_ins],
        "left_out": [_who(role, who) for who in one.left_out],
    }


def _who(role: Role, one: StandIn | LeftOut) -> dict[str, Any]:
    return {
        "practitioner_id": one.colleague.pk,
        "practitioner_name": one.colleague.name,
        "credential": one.colleague.credential,
        "reasons": shown_reasons(role, one.reasons),
    }


def render_moves(uow: UnitOfWork, done: MovesResult) -> Representation:
    """What became of each session."""
    ids = {one.client_id for one in done.outcomes}
    names = dict(Client.objects.filter(pk__in=ids).values_list("pk", "name"))
    moved = sum(one.refusal is None for one in done.outcomes)
    shown = {
        "still_without": done.count,
        "elsewhere": done.elsewhere,
        "refused": len(done.outcomes) - moved,
        "moved": moved,
        "outcomes": [
            {**_outcome(uow.actor.role, one), "client_name": names.get(one.client_id, "")}
            for one in done.outcomes
        ],
    }
    return Representation(MovesOutputSerializer(shown).data)


def _outcome(role: Role, one: MoveOutcome) -> dict[str, Any]:
    return {
        "session_id": one.session_id,
        "client_id": one.client_id,
        "moved": one.refusal is None,
        "starts_at": one.starts_at.astimezone(zone_named(one.zone)),
        "practitioner_id": one.practitioner_id,
        "practitioner_name": practitioner_names().get(one.practitioner_id, ""),
        "mode": one.mode,
        "warnings": shown_reasons(role, one.warnings),
        "refusal": refusal_member(one.refusal, role),
    }


def render_extra_hours(_uow: UnitOfWork, row: ExtraHours) -> Representation:
    """Extra hours, with a warning where nothing can be booked in some of them."""
    shown = ExtraHoursSerializer(row).data
    return with_warnings(shown, _not_open(row), row.revision)


def _not_open(row: ExtraHours) -> Iterable[Reason]:
    calendar = facility_calendar(row.facility_id, row.facility.zone, (row.practitioner_id,))
    begin = calendar.instant(row.day, row.starts)
    last_day = row.day if row.ends > row.starts else row.day + timedelta(days=1)
    end = calendar.instant(last_day, row.ends)
    if not calendar.is_open(begin, end):
        text = "The facility is closed for some of that time: no time of it is offered."
        yield Reason(code="facility_closed", text=text, source="the facility's opening hours")
    if (absent := calendar.why_absent(row.practitioner_id, begin, end)) is not None:
        yield absent


def _classes(found: MetClasses) -> dict[str, Any]:
    """The classes as they are shown."""
    return {
        "still_without": found.count,
        "elsewhere": found.elsewhere,
        "first": [_class_met(one) for one in found.first],
    }


def _class_met(one: MetClass) -> dict[str, Any]:
    row = one.row
    zone = zone_named(row.zone)
    return {
        "class_id": row.pk,
        "revision": row.revision,
        "title": row.title,
        "starts_at": row.starts_at.astimezone(zone),
        "ends_at": row.ends_at.astimezone(zone),
        "practitioner_id": row.practitioner_id,
        "practitioner_name": practitioner_names().get(row.practitioner_id, ""),
        "facility_id": row.facility_id,
        "facility_name": facility_names().get(row.facility_id, ""),
        "room_name": room_names().get(row.room_id, "") if row.room_id else "",
        "places_taken": row.taken,  # type: ignore[attr-defined]
        "free_colleagues": [
            {
                "practitioner_id": who.pk,
                "practitioner_name": who.name,
                "credential": who.credential,
            }
            for who in one.free
        ],
    }
