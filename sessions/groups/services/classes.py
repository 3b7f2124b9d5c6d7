"""Commands of a class as a whole: make, move, call off. One function each.

A class is a row of the practice. Its places are sessions on the streams of their clients, each
decided on as a session alone would be; a command on all of them locks every client, then the
places, and looks again whether they are still those that it locked.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import partial
from typing import Any, NamedTuple
from uuid import UUID

from clients.identity.selectors import require_visible_client
from practice.core.localtime import EnteredTime
from practice.core.reasons import Reason, Rejected
from practice.people_and_places.locks import PlaceLocks
from practice.policy import change_log as history
from practice.policy.selectors import settings_group
from practice.work.unit_of_work import UnitOfWork
from sessions.booking.domain.commands import CancelSession, Slot
from sessions.booking.domain.decisions import decide_cancel
from sessions.booking.domain.hours import check_not_closed, hours_warnings
from sessions.booking.domain.time_taken import time_taken_error
from sessions.booking.domain.what_is_asked import check_length, is_past
from sessions.booking.services.class_places import time_of
from sessions.booking.services.conflicts import find_conflicts, named_conflicts, place_of_slot
from sessions.booking.services.facts import (
    assessor_of,
    closed_to_treatment,
    near_warnings,
    room_warnings,
)
from sessions.booking.services.freed import WaitingFits, who_waits_for, whole_time_of
from sessions.booking.services.requests import MoveRequest, RequestedTime
from sessions.booking.services.sessions import SLICES, move_decided, write
from sessions.calendar.domain.session_state import SessionStatus
from sessions.calendar.domain.state import CALENDAR
from sessions.calendar.domain.terms import CancelledBy
from sessions.calendar.models import ExerciseClass, Session
from sessions.calendar.selectors.classes import class_get, sessions_of_class
from sessions.calendar.selectors.facilities import calendar_settings, facility_calendar
from sessions.groups.domain.late import check_class_ahead
from sessions.groups.domain.outcomes import PlaceOutcome, PlaceResult, require_all_moved
from sessions.groups.domain.rules import (
    check_ahead,
    check_capacity,
    class_changed,
    nothing_to_move,
)
from sessions.groups.domain.settings import GroupSettings
from sessions.groups.services.columns import slot_columns
from sessions.groups.services.late import EnteredClass, LatePlace, class_enter

CANNOT_BE = (400, 409)
"""The refusals of a single place; any other is of the whole command."""


@dataclass(frozen=True, kw_only=True)
class ClassRequest:
    """A class to be made: what it is called, with whom, where, when, for how many.
    ``overrule``: why it is to be although the place is closed, or the practitioner absent, then.
    ``places``: of a class that took place, who had one."""

    title: str
    practitioner_id: UUID
    facility_id: UUID
    room_id: UUID | None = None
    when: RequestedTime
    capacity: int
    overrule: str = ""
    places: tuple[LatePlace, ...] = ()


@dataclass(frozen=True, kw_only=True)
class ClassMoveRequest:
    """Another time, practitioner or room; None keeps what stands. ``cancel_who_cannot``: the
    places of those who cannot come along are called off by the practice. ``overrule``: as in
    ClassRequest."""

    reason: str
    practitioner_id: UUID | None = None
    room_id: UUID | None = None
    keep_room: bool = True
    when: RequestedTime | None = None
    cancel_who_cannot: bool = False
    overrule: str = ""


@dataclass(frozen=True)
class ClassResult:
    """What a command did to a class, and to each place of it; ``freed``: who waits for what came
    free."""

    class_id: UUID
    warnings: list[Reason] = field(default_factory=list)
    places: tuple[PlaceOutcome, ...] = ()
    freed: WaitingFits = field(default_factory=WaitingFits)


def class_create(uow: UnitOfWork, *, command: ClassRequest) -> ClassResult | EnteredClass:
    """Make a class, which takes the practitioner's and the room's time at once, or enter one that
    took place (``places``).

    Raises Rejected: 400 for a time or a number of places that cannot be, 409 where the time is
    taken, 404 for a client who is not to be seen.
    """
    places = PlaceLocks([command.practitioner_id], [command.room_id])
    clients = {one.client_id for one in command.places}
    uow.lock(*clients, places=places)
    for client_id in clients:
        require_visible_client(uow.actor, client_id)
    place = place_of_slot(
        uow,
        places,
        practitioner_id=command.practitioner_id,
        facility_id=command.facility_id,
        room_id=command.room_id,
        late=bool(command.places),
    )
    class_id = uow.context.new_id()
    slot = place.slot(*command.when.span(place.facility.zone), class_id)
    row = ExerciseClass(id=class_id, title=command.title, capacity=command.capacity)
    if command.places:
        return class_enter(uow, place, slot, row, command.places)
    check_capacity(command.capacity, settings_group("groups", GroupSettings)[0])
    checked = _check_slot(uow, slot, command.overrule)
    history.create_row(uow, row, {**slot_columns(slot), "overruled": checked.overruled}, "class")
    return ClassResult(class_id, checked.warnings)


def class_move(
    uow: UnitOfWork, *, class_id: UUID, command: ClassMoveRequest, if_match: int | None = None
) -> ClassResult:
    """Move a class and every place in it, all in one act.

    Raises Rejected 409 where the time is taken, or where somebody cannot come along and their
    places are not to be called off instead.
    """
    row, sessions, places = _locked(
        uow, class_id, if_match, command.practitioner_id, command.room_id
    )
    place = place_of_slot(
        uow,
        places,
        practitioner_id=command.practitioner_id or row.practitioner_id,
        facility_id=row.facility_id,
        room_id=row.room_id if command.keep_room else command.room_id,
    )
    when = command.when or time_of(row)
    if when.ends_at is None and when.minutes is None:
        when = replace(when, minutes=int((row.ends_at - row.starts_at).total_seconds()) // 60)
    slot = place.slot(*when.span(place.facility.zone), class_id)
    if all(getattr(row, name) == value for name, value in slot_columns(slot).items()):
        raise nothing_to_move()
    checked, before = _check_slot(uow, slot, command.overrule), whole_time_of(row)
    history.update_row(uow, row, {**slot_columns(slot), "overruled": checked.overruled}, "class")
    move = _move_of_place(slot, command.reason, checked.overruled)
    found = [_moved(uow, places, one, move) for one in sessions]
    if not command.cancel_who_cannot:
        require_all_moved(found, uow.actor.role)
    for one in found:
        if one.result is PlaceResult.REFUSED:
            _cancel(uow, one.client_id, one.session_id, command.reason)
    freed = who_waits_for(uow, before)
    return ClassResult(class_id, checked.warnings, tuple(found), freed)


def class_cancel(
    uow: UnitOfWork, *, class_id: UUID, command: Mapping[str, Any], if_match: int | None = None
) -> ClassResult:
    """Call a class off, and with it every place, by the practice and for the one ``reason``."""
    reason = command["reason"].strip()
    row, sessions, _ = _locked(uow, class_id, if_match)
    for one in sessions:
        _cancel(uow, one.client_id, one.pk, reason)
    history.update_row(uow, row, {"is_cancelled": True, "ended_reason": reason}, "class")
    done = (
        PlaceOutcome(result=PlaceResult.CANCELLED, session_id=one.pk, client_id=one.client_id)
        for one in sessions
    )
    return ClassResult(class_id, places=tuple(done), freed=who_waits_for(uow, whole_time_of(row)))


def _locked(
    uow: UnitOfWork,
    class_id: UUID,
    if_match: int | None,
    practitioner_id: UUID | None = None,
    room_id: UUID | None = None,
) -> tuple[ExerciseClass, list[Session], PlaceLocks]:
    """A class with its places, under the locks on all their clients, its practitioner and room,
    and those that it is to have; nobody came to it yet."""
    seen = class_get(uow.actor, class_id)
    clients = {one.client_id for one in sessions_of_class(class_id)}
    whose = seen.practitioner_id, seen.room_id
    places = PlaceLocks([seen.practitioner_id, practitioner_id], [seen.room_id, room_id])
    uow.lock(*clients, places=places)
    row = history.lock_row(ExerciseClass, class_id, "class", if_match=if_match)
    sessions = list(sessions_of_class(class_id))
    if (row.practitioner_id, row.room_id) != whose or _strangers(sessions, clients):
        raise class_changed()
    statuses = [SessionStatus(one.status) for one in sessions]
    check_ahead(row.starts_at, statuses, uow.now, is_cancelled=row.is_cancelled)
    return row, sessions, places


def _strangers(sessions: Iterable[Session], clients: set[UUID]) -> bool:
    return any(one.client_id not in clients for one in sessions)


class _CheckedSlot(NamedTuple):
    """What a class in a slot is warned of, and why it is to be although something is closed."""

    warnings: list[Reason]
    overruled: str


def _check_slot(uow: UnitOfWork, slot: Slot, overrule: str) -> _CheckedSlot:
    """What booking asks of a slot, whoever the client; Rejected where no class can be."""
    settings = calendar_settings()
    check_length(slot, settings)
    check_class_ahead(is_past(slot, settings, uow.context))
    hours = facility_calendar(slot.facility_id, slot.zone, (slot.practitioner_id,))
    closed = closed_to_treatment(slot, hours, uow.now)
    check_not_closed(closed, overrule)
    if conflicts := find_conflicts(None, slot, None):
        raise time_taken_error(named_conflicts(uow.actor, conflicts), slot.zone)
    warnings = [
        *closed,
        *hours_warnings(slot, hours),
        *room_warnings(slot, None),
        *near_warnings(slot, None),
    ]
    return _CheckedSlot(warnings, overrule.strip() if closed else "")


def _move_of_place(slot: Slot, reason: str, overruled: str) -> MoveRequest:
    return MoveRequest(
        reason=reason,
        practitioner_id=slot.practitioner_id,
        room_id=slot.room_id,
        keep_room=False,
        when=RequestedTime(
            starts_at=EnteredTime(instant=slot.starts_at), ends_at=EnteredTime(instant=slot.ends_at)
        ),
        with_class=True,
        overrule=overruled,
    )


def _moved(
    uow: UnitOfWork, places: PlaceLocks, session: Session, move: MoveRequest
) -> PlaceOutcome:
    client_id = session.client_id
    states = partial(uow.states, client_id)
    now = states(SLICES)[CALENDAR].session(session.pk)
    try:
        decided = move_decided(uow, places, assessor_of(client_id, states), now, move)
    except Rejected as refusal:
        if refusal.status not in CANNOT_BE:
            raise
        return PlaceOutcome(
            result=PlaceResult.REFUSED,
            session_id=session.pk,
            client_id=client_id,
            refusal=refusal,
        )
    write(uow, decided)
    return PlaceOutcome(
        result=PlaceResult.MOVED,
        session_id=session.pk,
        client_id=client_id,
        warnings=decided.facts.warnings,
    )


def _cancel(uow: UnitOfWork, client_id: UUID, session_id: UUID, reason: str) -> None:
    cancel = CancelSession(
        session_id=session_id, by=CancelledBy.PRACTICE, reason=reason, with_class=True
    )
    uow.execute(client_id, SLICES, lambda states, ctx: decide_cancel(states[CALENDAR], cancel, ctx))
