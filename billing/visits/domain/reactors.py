"""Billing's reactor: a signature calculates the client's day again. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from uuid import UUID

import msgspec

from billing.authorizations.domain.events import TreatedMinutes, TreatedSession, VisitCalculated
from billing.authorizations.domain.state import AUTHORIZATION_BALANCE, AuthorizationBalance
from billing.authorizations.domain.terms import DISCIPLINE_OF
from billing.authorizations.domain.treatment_day import TreatmentDay
from billing.payers.domain.rules import PayerRulesById
from billing.visits.domain.calculation import calculate_visit, differs_from_last
from practice.core.decisions import Context, Decided, States
from practice.core.events import RecordedEvent
from sessions.notes.domain.events import AddendumAdded, NotePartMinutes, NoteSigned


@dataclass(frozen=True, slots=True)
class BillingFacts:
    """What was read after the lock: the payers' rules, and sessions of other clients in
    whose minutes the practitioner was too."""

    payers: PayerRulesById
    overlaps: tuple[UUID, ...] = ()


def react_to_note(rec: RecordedEvent, states: States, facts: BillingFacts, ctx: Context) -> Decided:
    """Calculate the day of a note that was just signed, or whose minutes an addendum corrected."""
    authorization_balance, payers = states[AUTHORIZATION_BALANCE], facts.payers
    if isinstance(rec.data, NoteSigned):
        day = _day_of_note(rec, rec.data, facts.overlaps, authorization_balance, ctx)
        return recalculated(day, authorization_balance, payers)
    if isinstance(rec.data, AddendumAdded) and rec.data.corrected_minutes is not None:
        corrected = _day_of_addendum(rec.data, authorization_balance)
        return (
            recalculated(corrected, authorization_balance, payers) if corrected is not None else []
        )
    return []


def recalculated(
    day: TreatmentDay,
    authorization_balance: AuthorizationBalance,
    payers: PayerRulesById,
    chosen: UUID | None = None,
) -> list[VisitCalculated]:
    """The day's new calculation, or nothing where it is as it was."""
    now = calculate_visit(day, authorization_balance, payers, chosen)
    return [now] if differs_from_last(day, now) else []


def day_of_visit(authorization_balance: AuthorizationBalance, visit_id: UUID) -> TreatmentDay:
    """A visit's day as it stands, to be calculated again; Rejected 404 where there is none."""
    visit = authorization_balance.visit(visit_id)
    last = visit.last
    return TreatmentDay(last.visit_id, last.local_date, last.discipline, last.sessions, visit)


def with_minutes_assigned(day: TreatmentDay, session_id: UUID) -> TreatmentDay:
    """The day with the overlapping minutes of one session counted."""
    return _with(
        day,
        [
            msgspec.structs.replace(one, assigned=True) if one.session_id == session_id else one
            for one in day.sessions
        ],
    )


def _day_of_note(
    rec: RecordedEvent,
    signed: NoteSigned,
    overlaps: tuple[UUID, ...],
    authorization_balance: AuthorizationBalance,
    ctx: Context,
) -> TreatmentDay:
    discipline = DISCIPLINE_OF[signed.credential]
    treated = TreatedSession(
        session_id=signed.session_id,
        note_id=signed.note_id,
        facility_id=signed.facility_id,
        practitioner_id=signed.practitioner_id,
        credential=signed.credential,
        minutes=_minutes(signed.minutes),
        signed_at=rec.recorded_at,
        signed_by=rec.actor,
        overlaps=overlaps,
    )
    visit_id = authorization_balance.by_day.get((signed.local_date, discipline))
    if visit_id is None:
        return TreatmentDay(ctx.new_id(), signed.local_date, discipline, (treated,))
    day = day_of_visit(authorization_balance, visit_id)
    return _with(day, [*day.sessions, treated])


def _day_of_addendum(
    addendum: AddendumAdded, authorization_balance: AuthorizationBalance
) -> TreatmentDay | None:
    visit_id = authorization_balance.by_note.get(addendum.note_id)
    if visit_id is None or addendum.corrected_minutes is None:
        return None
    day, minutes = (
        day_of_visit(authorization_balance, visit_id),
        _minutes(addendum.corrected_minutes),
    )
    return _with(
        day,
        [
            msgspec.structs.replace(one, minutes=minutes)
            if one.note_id == addendum.note_id
            else one
            for one in day.sessions
        ],
    )


def _with(day: TreatmentDay, sessions: Iterable[TreatedSession]) -> TreatmentDay:
    """The day with other sessions, in order of signing."""
    ordered = tuple(sorted(sessions, key=lambda one: (one.signed_at, one.note_id)))
    return TreatmentDay(day.visit_id, day.local_date, day.discipline, ordered, day.earlier)


def _minutes(parts: Iterable[NotePartMinutes]) -> tuple[TreatedMinutes, ...]:
    return tuple(TreatedMinutes(part=one.part, minutes=one.minutes) for one in parts if one.minutes)
