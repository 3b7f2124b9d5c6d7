"""Plan several narrowed sessions anew in one act, each as a replanning of it alone would be."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime
from functools import partial
from typing import Final
from uuid import UUID

from django.db.models import Q, QuerySet

from clients.permissions.domain.results import HandsOnExtent
from practice.clock import clock
from practice.core.decisions import Actor
from practice.core.reasons import Reason, Rejected
from practice.core.terms import Mode
from practice.people_and_places.locks import PlaceLocks
from practice.work.unit_of_work import UnitOfWork
from sessions.assessment.selectors.assessor import SessionAssessor
from sessions.booking.services.facts import assessor_of
from sessions.booking.services.requests import MoveRequest
from sessions.booking.services.sessions import SLICES, DecidedSession, move_decided, write
from sessions.calendar.domain.modes import narrower
from sessions.calendar.domain.session_state import SessionState
from sessions.calendar.domain.state import CALENDAR
from sessions.calendar.domain.terms import PermissionsSnapshot
from sessions.calendar.models import Session
from sessions.calendar.selectors.sessions import narrowed_sessions, session_get
from sessions.reevaluation.domain.told import standing_extent
from sessions.replanning.domain.replanning import (
    PlannedAnew,
    ReplanOutcome,
    ReplanResult,
    check_may_be_replanned,
    flag_left,
    planned_anew,
    reasons_left,
)

MOST_AT_ONCE: Final = 100
"""So many sessions are planned anew in one request: all their clients are locked together."""
CANNOT_BE: Final = (400, 409)
"""The refusals of a single session; any other is of the whole command."""


@dataclass(frozen=True, kw_only=True)
class ReplanRequest:
    """Which narrowed sessions are planned anew, and why. ``after``: those after this one, where
    there were more than one request takes. ``preview``: only say what would become of each."""

    reason: str
    practitioner_id: UUID | None = None
    client_id: UUID | None = None
    facility_id: UUID | None = None
    first: date | None = None
    last: date | None = None
    after: UUID | None = None
    preview: bool = False


@dataclass(frozen=True)
class ReplanOutcomes:
    """What became of each, by start; ``left``: so many come after the last of them."""

    outcomes: tuple[ReplanOutcome, ...]
    left: int
    preview: bool


def sessions_replan(uow: UnitOfWork, *, command: ReplanRequest) -> ReplanOutcomes:
    """Plan anew the booked sessions to come that narrowed, as far as each may be as at first.

    Clients and places of all of them are locked in one call. What may be no wider stays
    untouched, so that a repeat changes nothing.
    """
    found = _selected(uow.actor, command, clock.now())
    rows = list(found[:MOST_AT_ONCE])
    left = found.count() - len(rows) if len(rows) == MOST_AT_ONCE else 0
    places = PlaceLocks([row.practitioner_id for row in rows], [row.room_id for row in rows])
    uow.lock(*{row.client_id for row in rows}, places=places)
    assessors = _assessors(uow, rows)
    outcomes = tuple(
        _replanned(uow, places, assessors[row.client_id], row, command) for row in rows
    )
    return ReplanOutcomes(outcomes, left, command.preview)


def _selected(actor: Actor, command: ReplanRequest, now: datetime) -> QuerySet[Session]:
    asked = {
        "practitioner_id": command.practitioner_id,
        "client_id": command.client_id,
        "facility_id": command.facility_id,
        "local_date__gte": command.first,
        "local_date__lte": command.last,
    }
    rows = narrowed_sessions(actor, now).filter(
        **{name: value for name, value in asked.items() if value is not None}
    )
    if command.after is not None:
        last = session_get(actor, command.after)
        same_start = Q(starts_at=last.starts_at, pk__gt=last.pk)
        rows = rows.filter(Q(starts_at__gt=last.starts_at) | same_start)
    return rows.order_by("starts_at", "id")


def _assessors(uow: UnitOfWork, rows: Iterable[Session]) -> dict[UUID, SessionAssessor]:
    return {
        one: assessor_of(one, partial(uow.states, one)) for one in {row.client_id for row in rows}
    }


def _replanned(
    uow: UnitOfWork,
    places: PlaceLocks,
    assessor: SessionAssessor,
    row: Session,
    command: ReplanRequest,
) -> ReplanOutcome:
    session = uow.states(row.client_id, SLICES)[CALENDAR].session(row.pk)
    try:
        _check_as_read(session, row)
        check_may_be_replanned(session)
    except Rejected as refusal:
        return _stays(session, row.client_id, refusal=refusal)
    case = assessor.session(session)
    now = case.snapshot(case.planned(), provisional=True)
    anew = planned_anew(session, now)
    if anew.result is ReplanResult.STAYS:
        return _stays(session, row.client_id, reasons_left(anew, now))
    move = MoveRequest(reason=command.reason, requested_mode=narrower(anew.first, now.mode))
    try:
        decided = move_decided(uow, places, assessor, session, move)
    except Rejected as refusal:
        if refusal.status not in CANNOT_BE:
            raise
        return _stays(session, row.client_id, reasons_left(anew, now), refusal)
    decided = replace(decided, events=[*decided.events, *flag_left(session, anew, now)])
    if not command.preview:
        write(uow, decided)
    return _done(session, decided, anew, now)


def _check_as_read(session: SessionState, row: Session) -> None:
    """Raises Rejected 409 where its places are not those that were locked."""
    if (session.practitioner_id, session.room_id) != (row.practitioner_id, row.room_id):
        raise Rejected("session_changed", "It was moved at this moment. Repeat the request.")


def _stays(
    session: SessionState,
    client_id: UUID,
    reasons: tuple[Reason, ...] = (),
    refusal: Rejected | None = None,
) -> ReplanOutcome:
    extent = standing_extent(session)
    return ReplanOutcome(
        session_id=session.id,
        client_id=client_id,
        result=ReplanResult.STAYS,
        mode_before=session.mode,
        hands_on_before=extent,
        mode=session.mode,
        hands_on=extent,
        reasons=reasons,
        refusal=refusal,
    )


def _done(
    session: SessionState, decided: DecidedSession, anew: PlannedAnew, now: PermissionsSnapshot
) -> ReplanOutcome:
    mode = narrower(anew.first, now.mode)
    extent = now.planned_extent
    if anew.left is not None:
        mode, extent = anew.left.mode, anew.left.extent
    return ReplanOutcome(
        session_id=session.id,
        client_id=decided.client_id,
        result=anew.result,
        mode_before=session.mode,
        hands_on_before=standing_extent(session),
        mode=mode,
        hands_on=extent if mode is Mode.HANDS_ON else HandsOnExtent.NOTHING,
        reasons=reasons_left(anew, now),
        warnings=decided.facts.warnings,
    )
