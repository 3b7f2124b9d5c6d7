"""Move or call off a series from a day on: each session as one alone would be."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date, datetime
from functools import partial
from uuid import UUID

from practice.core.decisions import Actor
from practice.core.localtime import EnteredTime
from practice.core.reasons import Rejected
from practice.people_and_places.locks import PlaceLocks
from practice.work.unit_of_work import UnitOfWork
from sessions.assessment.selectors.assessor import SessionAssessor
from sessions.booking.domain.commands import CancelSession
from sessions.booking.domain.decisions import decide_cancel, late_cancellation_warnings
from sessions.booking.services.facts import assessor_of
from sessions.booking.services.requests import MoveRequest, RequestedTime
from sessions.booking.services.sessions import SLICES, move_decided, places_of_move
from sessions.calendar.domain.events import SessionCancelled
from sessions.calendar.domain.session_state import SessionState
from sessions.calendar.domain.state import CALENDAR
from sessions.calendar.selectors.facilities import calendar_settings
from sessions.calendar.selectors.sessions import session_list
from sessions.series.domain import events
from sessions.series.domain.answers import Occurrence, OccurrenceResult, require_any
from sessions.series.domain.changes import (
    MOVED_ALONE,
    NOT_SEEN,
    SeriesCancelRequest,
    SeriesMoveRequest,
    check_move,
    in_order_of_move,
    left_because,
    new_start,
    touched,
)
from sessions.series.domain.state import SERIES
from sessions.series.selectors import series_get
from sessions.series.services.results import SeriesResult, who_waits_for_all, written

CANNOT_BE = (400, 409)
"""The refusals of a single session; any other is of the whole command."""


def series_move(uow: UnitOfWork, *, series_id: UUID, command: SeriesMoveRequest) -> SeriesResult:
    """Move the sessions of a series that can be moved, from a day on.

    Those that took place, are under way or cancelled are left, and those that were moved by
    themselves before. Raises Rejected 409 where none can be moved, or not all that had to.
    """
    client_id, sessions = _sessions(uow, series_id, command.from_day, command.of_weekday)
    seen = _seen(uow.actor, series_id)
    going, left = _parted(sessions, lambda one: _why_not_moved(one, uow.now, seen))
    check_move(command, going)
    places = places_of_move(going, _move_of_one(command, None))
    uow.lock(places=places)
    assessor = assessor_of(client_id, partial(uow.states, client_id))
    moved = [
        _moved(uow, places, assessor, one, command) for one in in_order_of_move(going, command)
    ]
    found = sorted([*moved, *left], key=lambda one: one.starts_at)
    require_any(
        found, OccurrenceResult.MOVED, uow.actor.role, all_or_nothing=command.all_or_nothing
    )
    event = events.SeriesMoved(
        series_id=series_id,
        from_day=command.from_day,
        moved=_ids(found, OccurrenceResult.MOVED),
        refused=_ids(found, OccurrenceResult.REFUSED),
        reason=command.reason.strip(),
    )
    uow.execute(client_id, (SERIES,), lambda _states, _ctx: [event])
    freed = who_waits_for_all(uow, going, event.moved)
    return SeriesResult(series_id, client_id, tuple(found), freed)


def _moved(
    uow: UnitOfWork,
    places: PlaceLocks,
    assessor: SessionAssessor,
    session: SessionState,
    command: SeriesMoveRequest,
) -> Occurrence:
    start = new_start(session, command)
    move = _move_of_one(command, start if command.retimes else None)
    try:
        decided = move_decided(uow, places, assessor, session, move)
    except Rejected as refusal:
        if refusal.status not in CANNOT_BE:
            raise
        return Occurrence(
            result=OccurrenceResult.REFUSED,
            starts_at=start,
            zone=session.zone,
            session_id=session.id,
            refusal=refusal,
        )
    return written(uow, decided, OccurrenceResult.MOVED)


def _move_of_one(command: SeriesMoveRequest, start: datetime | None) -> MoveRequest:
    return MoveRequest(
        reason=command.reason,
        practitioner_id=command.practitioner_id,
        room_id=command.room_id,
        keep_room=command.keep_room,
        when=RequestedTime(starts_at=EnteredTime(instant=start)) if start else None,
        with_series=True,
        overrule=command.overrule,
    )


def series_cancel(
    uow: UnitOfWork, *, series_id: UUID, command: SeriesCancelRequest
) -> SeriesResult:
    """Call off the sessions of a series from a day on, those too that were moved by themselves.

    Those that took place, are under way or cancelled are left. Raises Rejected 409 where no
    session is left to call off.
    """
    client_id, sessions = _sessions(uow, series_id, command.from_day)
    seen = _seen(uow.actor, series_id)
    going, left = _parted(
        sessions, lambda one: left_because(one, uow.now) or ("" if one.id in seen else NOT_SEEN)
    )
    state = uow.states(client_id, SLICES)[CALENDAR]
    decided = [
        event
        for one in going
        for event in decide_cancel(
            state,
            CancelSession(
                session_id=one.id,
                by=command.by,
                reason=command.reason,
                occurred_at=command.occurred_at,
                with_series=True,
            ),
            uow.context,
        )
    ]
    outcome = uow.execute(client_id, SLICES, lambda _states, _ctx: decided)
    notice = {
        one.data.session_id: one.data.notice_minutes
        for one in outcome.events
        if isinstance(one.data, SessionCancelled)
    }
    cancelled = [_cancelled(one, notice[one.id]) for one in going]
    found = sorted([*cancelled, *left], key=lambda one: one.starts_at)
    require_any(found, OccurrenceResult.CANCELLED, uow.actor.role, all_or_nothing=False)
    event = events.SeriesCancelled(
        series_id=series_id,
        from_day=command.from_day,
        cancelled=_ids(found, OccurrenceResult.CANCELLED),
        by=command.by,
        reason=command.reason.strip(),
    )
    uow.execute(client_id, (SERIES,), lambda _states, _ctx: [event])
    freed = who_waits_for_all(uow, going, event.cancelled)
    return SeriesResult(series_id, client_id, tuple(found), freed)


def _cancelled(session: SessionState, notice_minutes: int) -> Occurrence:
    warnings = late_cancellation_warnings(notice_minutes, calendar_settings())
    return Occurrence(
        result=OccurrenceResult.CANCELLED,
        starts_at=session.starts_at,
        zone=session.zone,
        session_id=session.id,
        warnings=tuple(warnings),
    )


def _sessions(
    uow: UnitOfWork, series_id: UUID, from_day: date, of_weekday: int | None = None
) -> tuple[UUID, list[SessionState]]:
    """The client of a series, locked, and the sessions that the command is about."""
    client_id = series_get(uow.actor, series_id).client_id
    uow.lock(client_id)
    sessions = uow.states(client_id, SLICES)[CALENDAR].of_series(series_id)
    return client_id, touched(sessions, from_day, of_weekday)


def _seen(actor: Actor, series_id: UUID) -> frozenset[UUID]:
    rows = session_list(actor).filter(series_id=series_id)
    return frozenset(rows.values_list("pk", flat=True))


def _why_not_moved(session: SessionState, now: datetime, seen: frozenset[UUID]) -> str:
    if why := left_because(session, now):
        return why
    if session.id not in seen:
        return NOT_SEEN
    return MOVED_ALONE if session.moved_alone else ""


def _parted(
    sessions: Sequence[SessionState], why_left: Callable[[SessionState], str]
) -> tuple[list[SessionState], list[Occurrence]]:
    """Those that a command changes, and those that are left, with why."""
    why = {one.id: why_left(one) for one in sessions}
    left = [
        Occurrence(
            result=OccurrenceResult.LEFT,
            starts_at=one.starts_at,
            zone=one.zone,
            session_id=one.id,
            left_because=why[one.id],
        )
        for one in sessions
        if why[one.id]
    ]
    return [one for one in sessions if not why[one.id]], left


def _ids(found: Sequence[Occurrence], result: OccurrenceResult) -> tuple[UUID, ...]:
    return tuple(one.session_id for one in found if one.result is result and one.session_id)
