"""Who may take over a session: asked of what decides a move, never judged here."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from uuid import UUID, uuid4

from clients.permissions.domain.results import MODE_WIDTH
from practice.core.decisions import Actor, Context, States
from practice.core.reasons import Reason, Rejected
from practice.core.terms import Mode
from practice.people_and_places.models.exceptions import Absence, Closure
from practice.people_and_places.selectors.kept import Colleague
from practice.work import loading
from practice.work.advising import Advisors
from sessions.absences.selectors.colleagues import free_colleagues
from sessions.assessment.selectors.assessor import SessionAssessor
from sessions.booking.domain.commands import UNPAID, BookingQuestion, MoveSession, Slot
from sessions.booking.domain.decisions import decide_move
from sessions.booking.services.facts import GetStates, assessor_of, booking_facts
from sessions.calendar.domain.session_state import SessionState
from sessions.calendar.domain.state import CALENDAR
from sessions.calendar.models import Session

ASKED_WHETHER = MoveSession(session_id=UUID(int=0), reason="Whether a colleague may take over.")


@dataclass(frozen=True)
class StandIn:
    """A colleague who is there and free, and as what the session would be with them."""

    colleague: Colleague
    mode: Mode
    reasons: tuple[Reason, ...]


@dataclass(frozen=True)
class LeftOut:
    """A colleague who is there and free and may not take over as it is planned, and why."""

    colleague: Colleague
    reasons: tuple[Reason, ...]


@dataclass(frozen=True)
class MetSession:
    """A session that an absence or a closure meets, and who may take it over."""

    row: Session
    stand_ins: tuple[StandIn, ...] = ()
    left_out: tuple[LeftOut, ...] = ()


def with_stand_ins(
    actor: Actor, off: Absence | Closure, rows: Sequence[Session], now: datetime
) -> list[MetSession]:
    """Some sessions with their stand-ins. At a closed place nobody can stand in: they need
    another time or place."""
    if isinstance(off, Closure):
        return [MetSession(row) for row in rows]
    return [_Asking(actor, row, now).answered() for row in rows]


class _Asking:
    """Asks about one session with each colleague of its place."""

    def __init__(self, actor: Actor, row: Session, now: datetime) -> None:
        self._row = row
        self._context = Context(now=now, actor=actor, new_id=uuid4)
        self._states: GetStates = loading.state_loader(row.client_id).require
        self._unpaid = Advisors(UNPAID, row.client_id, self._states, self._context)

    def answered(self) -> MetSession:
        """Those who may, who keep it as it is planned first of all by name; and who may not."""
        free = free_colleagues(self._row)
        if not free:
            return MetSession(self._row)
        states: States = self._states((CALENDAR,))
        session = states[CALENDAR].session(self._row.pk)
        assessor = assessor_of(self._row.client_id, self._states)
        booked = self._slot(session.practitioner_id, session)
        unpaid_now = {one.code for one in self._unpaid_with(booked)}
        found = [self._ask(assessor, session, one, unpaid_now) for one in free]
        return MetSession(
            self._row,
            tuple(one for one in found if isinstance(one, StandIn)),
            tuple(one for one in found if isinstance(one, LeftOut)),
        )

    def _ask(
        self,
        assessor: SessionAssessor,
        session: SessionState,
        colleague: Colleague,
        unpaid_now: set[str],
    ) -> StandIn | LeftOut:
        slot = replace(self._slot(colleague.pk, session), credential=colleague.credential)
        facts = booking_facts(assessor, session.id, slot, self._states)
        move = replace(ASKED_WHETHER, session_id=session.id)
        try:
            event = decide_move(self._states((CALENDAR,))[CALENDAR], move, facts, self._context)[0]
        except Rejected as refusal:
            told = Reason(code=refusal.code, text=str(refusal), source="practice policy")
            return LeftOut(colleague, refusal.reasons or (told,))
        mode: Mode = event.planned_mode  # type: ignore[union-attr]
        if MODE_WIDTH[mode] < MODE_WIDTH[session.mode]:
            return LeftOut(colleague, facts.permissions.reasons)
        unpaid = [one for one in self._unpaid_with(slot) if one.code not in unpaid_now]
        if unpaid:
            return LeftOut(colleague, tuple(unpaid))
        return StandIn(colleague, mode, facts.permissions.reasons)

    def _slot(self, practitioner_id: UUID, session: SessionState) -> Slot:
        return Slot(
            practitioner_id=practitioner_id,
            credential=session.credential,
            facility_id=session.facility_id,
            room_id=session.room_id,
            starts_at=session.starts_at,
            ends_at=session.ends_at,
            zone=session.zone,
        )

    def _unpaid_with(self, slot: Slot) -> Sequence[Reason]:
        question = BookingQuestion(slot=slot, session_id=self._row.pk)
        return self._unpaid.on(question)
