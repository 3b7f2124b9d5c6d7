"""Move several of the sessions that an absence or a closure meets, in one act."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial
from uuid import UUID

from practice.core.reasons import Rejected, existing
from practice.core.terms import Mode
from practice.people_and_places.locks import PlaceLocks
from practice.work.unit_of_work import UnitOfWork
from sessions.absences.domain.moves import NOT_MET, MoveOutcome, check_outcomes
from sessions.absences.selectors.met import met_by, met_count, off_of_ids
from sessions.assessment.selectors.assessor import SessionAssessor
from sessions.booking.services.facts import assessor_of
from sessions.booking.services.requests import MoveRequest
from sessions.booking.services.sessions import SLICES, move_decided, write
from sessions.calendar.domain.state import CALENDAR
from sessions.calendar.models import Session
from sessions.calendar.selectors.sessions import session_list

CANNOT_BE = (400, 409)
"""The refusals of a single session; any other is of the whole command."""


@dataclass(frozen=True, kw_only=True)
class MovesRequest:
    """Where each of some sessions is to go, by the session's id."""

    moves: Mapping[UUID, MoveRequest]
    all_or_nothing: bool = False


@dataclass(frozen=True)
class MovesResult:
    """What became of each; ``count`` are still without a practitioner or a place, and
    ``elsewhere`` those at facilities that the caller does not see."""

    outcomes: tuple[MoveOutcome, ...]
    count: int
    elsewhere: int


def off_move(
    uow: UnitOfWork,
    *,
    command: MovesRequest,
    absence_id: UUID | None = None,
    closure_id: UUID | None = None,
) -> MovesResult:
    """Move what can be moved; with ``all_or_nothing`` all or none.

    Clients and places of all of them are locked in one call. Raises Rejected: 404 for a session
    that the caller may not see, 409 where none can be moved, or not all that had to.
    """
    off = off_of_ids(uow.actor, absence_id=absence_id, closure_id=closure_id)
    seen = {row.pk: row for row in session_list(uow.actor).filter(pk__in=command.moves)}
    rows = {one: existing(seen.get(one), "session") for one in command.moves}
    places = _places(rows, command.moves)
    uow.lock(*{row.client_id for row in rows.values()}, places=places)
    off.refresh_from_db()
    met = set(met_by(off, uow.now).filter(pk__in=rows).values_list("pk", flat=True))
    assessors = {
        one: assessor_of(one, partial(uow.states, one))
        for one in {row.client_id for row in rows.values()}
    }
    found = tuple(
        _moved(uow, places, assessors[row.client_id], row, command.moves[key])
        if key in met and _as_read(uow, row)
        else _refused(row, Rejected("not_met", NOT_MET))
        for key, row in rows.items()
    )
    check_outcomes(found, uow.actor.role, all_or_nothing=command.all_or_nothing)
    return MovesResult(found, *met_count(uow.actor, off, uow.now))


def _places(rows: Mapping[UUID, Session], moves: Mapping[UUID, MoveRequest]) -> PlaceLocks:
    people: list[UUID | None] = []
    rooms: list[UUID | None] = []
    for key, row in rows.items():
        people += [row.practitioner_id, moves[key].practitioner_id]
        rooms += [row.room_id, moves[key].room_id]
    return PlaceLocks(people, rooms)


def _as_read(uow: UnitOfWork, row: Session) -> bool:
    """Whether it stands as it was before the wait: its places are those that were locked."""
    now = uow.states(row.client_id, SLICES)[CALENDAR].session(row.pk)
    return (now.practitioner_id, now.room_id) == (row.practitioner_id, row.room_id)


def _moved(
    uow: UnitOfWork,
    places: PlaceLocks,
    assessor: SessionAssessor,
    row: Session,
    move: MoveRequest,
) -> MoveOutcome:
    session = uow.states(row.client_id, SLICES)[CALENDAR].session(row.pk)
    try:
        decided = move_decided(uow, places, assessor, session, move)
    except Rejected as refusal:
        if refusal.status not in CANNOT_BE:
            raise
        return _refused(row, refusal)
    done, slot = write(uow, decided), decided.facts.slot
    return MoveOutcome(
        session_id=row.pk,
        client_id=row.client_id,
        starts_at=slot.starts_at,
        zone=slot.zone,
        practitioner_id=slot.practitioner_id,
        mode=uow.states(row.client_id, SLICES)[CALENDAR].session(row.pk).mode,
        warnings=tuple(done.warnings),
    )


def _refused(row: Session, refusal: Rejected) -> MoveOutcome:
    return MoveOutcome(
        session_id=row.pk,
        client_id=row.client_id,
        starts_at=row.starts_at,
        zone=row.zone,
        practitioner_id=row.practitioner_id,
        mode=Mode(row.mode),
        refusal=refusal,
    )
