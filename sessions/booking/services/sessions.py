"""Commands of the calendar: book, enter late, move, cancel. One function each."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import timedelta
from functools import partial
from typing import Any
from uuid import UUID

from clients.identity.selectors import require_visible_client
from practice.core.decisions import Decided
from practice.core.reasons import Reason, check_version
from practice.people_and_places.locks import PlaceLocks
from practice.work.unit_of_work import Outcome, UnitOfWork
from sessions.assessment.selectors.assessor import SessionAssessor
from sessions.booking.domain.commands import (
    BookingFacts,
    BookSession,
    CancelSession,
    EnterLateSession,
    MoveSession,
    Slot,
)
from sessions.booking.domain.decisions import (
    decide_book,
    decide_book_late,
    decide_cancel,
    decide_move,
    late_cancellation_warnings,
)
from sessions.booking.domain.late_entry import Ended, EndedPlace, ended_reason
from sessions.booking.selectors.extensions import kept_with_session
from sessions.booking.services.conflicts import conflicts_refused, place_of_slot
from sessions.booking.services.facts import (
    LateAnswers,
    assessor_of,
    booking_facts,
    with_warnings,
)
from sessions.booking.services.places import SlotPlace
from sessions.booking.services.requests import BookRequest, MoveRequest
from sessions.calendar.domain.events import SessionCancelled, SessionMoved
from sessions.calendar.domain.session_state import SessionState
from sessions.calendar.domain.state import CALENDAR
from sessions.calendar.domain.terms import SessionPurpose
from sessions.calendar.models import Session
from sessions.calendar.selectors.facilities import calendar_settings
from sessions.calendar.selectors.sessions import session_get
from sessions.kinds.domain.kind import (
    SessionKind,
    check_length,
    mode_of,
)
from sessions.kinds.selectors import kind_named, kinds

SLICES = (CALENDAR,)


@dataclass(frozen=True)
class SessionCommandResult:
    """What a command of the calendar did, for the answer."""

    session_id: UUID
    client_id: UUID
    outcome: Outcome
    warnings: list[Reason] = field(default_factory=list)


def session_book(uow: UnitOfWork, *, command: BookRequest) -> SessionCommandResult:
    """Book a session, or enter one that took place (``attendance``).

    Refuses with 409 a taken time, a practitioner against the client's preference, or hands-on
    work that is asked for and not permitted, a closed place or an absent practitioner; where no
    mode is asked for, it is as permitted.
    """
    places = PlaceLocks([command.practitioner_id], [command.room_id])
    uow.lock(command.client_id, places=places)
    require_visible_client(uow.actor, command.client_id)
    place = place_of_slot(
        uow,
        places,
        practitioner_id=command.practitioner_id,
        facility_id=command.facility_id,
        room_id=command.room_id,
        late=command.attendance is not None,
    )
    return write(uow, book_decided(uow, place, command))


@dataclass(frozen=True)
class DecidedSession:
    """A booking or a move that nothing stands against, and what was found about its slot."""

    client_id: UUID
    facts: BookingFacts
    events: Decided
    moved: bool = False


def book_decided(
    uow: UnitOfWork, place: SlotPlace, command: BookRequest, assessor: SessionAssessor | None = None
) -> DecidedSession:
    """Decide on a booking under the locks; nothing is written yet, so a refusal leaves nothing.

    ``assessor``: the client's, where the unit books several sessions.
    """
    kind = None if command.kind_id is None else kind_named(command.kind_id)
    if kind is not None:
        command = command.of_kind(kind)
    slot = place.slot(*command.when.span(place.facility.zone), command.class_id)
    session_id, states = uow.context.new_id(), partial(uow.states, command.client_id)
    assessor = assessor or assessor_of(command.client_id, states)
    attendance = command.attendance
    late = LateAnswers(attendance, command.answers) if attendance is not None else None
    facts = booking_facts(assessor, session_id, slot, states, late)
    booked_as = None if kind is None else kind.booked()
    facts = replace(facts, series_id=command.series_id, kind=booked_as)
    facts = with_warnings(uow, command.client_id, facts)
    if late is not None:
        facts = replace(facts, warnings=(*facts.warnings, *_ended_warnings(place, slot, kind)))
    purpose = command.purpose or SessionPurpose.TREATMENT
    calendar = states(SLICES)[CALENDAR]
    if attendance is not None:
        entry = EnterLateSession(
            attendance=attendance,
            requested_mode=command.requested_mode,
            purpose=purpose,
            answers=command.answers,
        )
        decided = decide_book_late(calendar, entry, facts, uow.context)
    else:
        if kind is not None:
            check_length(kind, slot.length // timedelta(minutes=1))
        book = BookSession(
            requested_mode=command.requested_mode, purpose=purpose, overrule=command.overrule
        )
        decided = decide_book(calendar, book, facts, uow.context)
    return DecidedSession(command.client_id, facts, decided)


def _ended_warnings(place: SlotPlace, slot: Slot, kind: SessionKind | None) -> list[Reason]:
    """What of a session that is entered late is there no more."""
    ended = list(place.ended)
    if kind is not None and not kind.is_active:
        ended.append(EndedPlace(Ended.KIND))
    return [ended_reason(one, slot.local_start.date()) for one in ended]


def write(uow: UnitOfWork, decided: DecidedSession) -> SessionCommandResult:
    """Write what was decided under the same locks."""
    client_id, facts = decided.client_id, decided.facts
    with conflicts_refused(facts.slot, facts.session_id):
        outcome = uow.execute(client_id, SLICES, lambda _states, _ctx: decided.events)
    kept = kept_with_session(facts.session_id) if decided.moved else []
    return SessionCommandResult(facts.session_id, client_id, outcome, [*facts.warnings, *kept])


def session_move(
    uow: UnitOfWork, *, session_id: UUID, command: MoveRequest, if_match: int | None = None
) -> SessionCommandResult:
    """Move a session or plan it anew; it keeps its identity, and its length unless it is given."""
    row = locked_session(uow, session_id, if_match)
    now = uow.states(row.client_id, SLICES)[CALENDAR].session(row.id)
    places = places_of_move([now], command)
    uow.lock(places=places)
    assessor = assessor_of(row.client_id, partial(uow.states, row.client_id))
    return write(uow, move_decided(uow, places, assessor, now, command))


def places_of_move(sessions: Iterable[SessionState], command: MoveRequest) -> PlaceLocks:
    """The practitioners and rooms of a move; those that are left are locked too: their time is
    given back in this unit."""
    people: list[UUID | None] = [command.practitioner_id]
    rooms: list[UUID | None] = [command.room_id]
    for one in sessions:
        people.append(one.practitioner_id)
        rooms.append(one.room_id)
    return PlaceLocks(people, rooms)


def move_decided(
    uow: UnitOfWork,
    places: PlaceLocks,
    assessor: SessionAssessor,
    now: SessionState,
    command: MoveRequest,
) -> DecidedSession:
    """Decide on a move under the locks; nothing is written yet, so a refusal leaves nothing."""
    client_id = assessor.client_id
    place = place_of_slot(
        uow,
        places,
        practitioner_id=command.practitioner_id or now.practitioner_id,
        facility_id=command.facility_id or now.facility_id,
        room_id=now.room_id if command.keep_room else command.room_id,
    )
    slot = place.slot(now.starts_at, now.ends_at, now.class_id)
    if (when := command.when) is not None:
        if when.ends_at is None and when.minutes is None:
            when = replace(when, minutes=now.booked_minutes)
        slot = place.slot(*when.span(place.facility.zone), now.class_id)
    states = partial(uow.states, client_id)
    if now.kind is not None and (kind := kinds().get(now.kind.kind_id)) is not None:
        mode_of(kind, command.requested_mode)
        if slot.length != now.length:
            check_length(kind, slot.length // timedelta(minutes=1))
    facts = replace(booking_facts(assessor, now.id, slot, states), kind=now.kind)
    facts = with_warnings(uow, client_id, facts)
    move = MoveSession(
        session_id=now.id,
        reason=command.reason,
        requested_mode=command.requested_mode,
        with_series=command.with_series,
        with_class=command.with_class,
        overrule=command.overrule,
    )
    decided = decide_move(states(SLICES)[CALENDAR], move, facts, uow.context)
    told = tuple(
        reason for one in decided if isinstance(one, SessionMoved) for reason in one.warnings
    )
    return DecidedSession(client_id, replace(facts, warnings=told), decided, moved=True)


def session_cancel(
    uow: UnitOfWork,
    *,
    session_id: UUID,
    command: Mapping[str, Any],
    if_match: int | None = None,
) -> SessionCommandResult:
    """Cancel a session (``by``, ``reason``); a short notice is answered with the practice's
    late rule."""
    row = locked_session(uow, session_id, if_match)
    cancel = CancelSession(session_id=row.id, **command)
    outcome = uow.execute(
        row.client_id,
        SLICES,
        lambda states, ctx: decide_cancel(states[CALENDAR], cancel, ctx),
    )
    event = outcome.first(SessionCancelled)
    warnings = (
        late_cancellation_warnings(event.notice_minutes, calendar_settings()) if event else []
    )
    warnings += kept_with_session(row.id)
    return SessionCommandResult(row.id, row.client_id, outcome, warnings)


def locked_session(uow: UnitOfWork, session_id: UUID, if_match: int | None = None) -> Session:
    """A session's row, read under its client's lock.

    Raises Rejected: 404 for one that the caller may not see, 412 where it has changed
    since the caller read it.
    """
    uow.lock(session_get(uow.actor, session_id).client_id)
    row = session_get(uow.actor, session_id)
    check_version(
        row.version,
        if_match,
        "The session has changed: its version is {version} now. Read it again.",
    )
    return row
