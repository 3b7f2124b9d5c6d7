"""Billing's reactor: a signature calculates the client's day again. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any
from uuid import UUID

import msgspec

from billing.authorizations.domain.events import TreatedMinutes, TreatedSession, VisitCalculated
from billing.authorizations.domain.state import AUTHORIZATION_BALANCE, AuthorizationBalance
from billing.authorizations.domain.terms import DISCIPLINE_OF, Discipline
from billing.authorizations.domain.treatment_day import TreatmentDay
from billing.payers.domain.rules import PayerRulesById
from billing.visits.domain.calculation import calculate_visit, differs_from_last
from billing.visits.domain.shared_time import (
    SessionSpan,
    shared_elsewhere,
    span_of,
    with_shared,
)
from practice.core.decisions import Context, Decided, States
from practice.core.events import RecordedEvent
from sessions.notes.domain.events import AddendumAdded, NotePartMinutes, NoteSigned


@dataclass(frozen=True, slots=True)
class BillingFacts:
    """What was read after the lock: the payers' rules, and the practitioner's sessions with
    other clients about that time. ``standing``: those it was known to share time with whose
    times can still be read, so that ``elsewhere`` says all of them. ``class_id``: the class in
    which the session of a note is a place. ``awaits_co_signature``: its note waits for one."""

    payers: PayerRulesById
    elsewhere: tuple[SessionSpan, ...] = ()
    standing: frozenset[UUID] = frozenset()
    class_id: UUID | None = None
    awaits_co_signature: bool = False


def react_to_note(rec: RecordedEvent, states: States, facts: BillingFacts, ctx: Context) -> Decided:
    """Calculate the day of a note that was just signed, or whose minutes or times an addendum
    corrected, and before it other days of the client that share its time."""
    authorization_balance, payers = states[AUTHORIZATION_BALANCE], facts.payers
    if isinstance(rec.data, NoteSigned):
        treated = _treated(rec, rec.data, facts)
        own = (rec.data.local_date, DISCIPLINE_OF[rec.data.credential])
        made = _sharing_days(own, treated, authorization_balance, payers)
        for one in made:
            authorization_balance = authorization_balance.after(one)
        day = _day_of_note(rec.data, treated, facts.elsewhere, authorization_balance, ctx)
        return [*made, *recalculated(day, authorization_balance, payers)]
    if isinstance(rec.data, AddendumAdded):
        return _react_to_addendum(rec.data, authorization_balance, facts)
    return []


def _sharing_days(
    own: tuple[date, Discipline],
    treated: TreatedSession,
    authorization_balance: AuthorizationBalance,
    payers: PayerRulesById,
) -> list[VisitCalculated]:
    """The client's other days that share time with a session, or did before a correction."""
    sharing = [
        told
        for day in _days_near(authorization_balance, own[0])
        if (day.local_date, day.discipline) != own
        and (told := _told(day, treated)).sessions != day.sessions
    ]
    return recalculated_days(sharing, authorization_balance, payers)


def recalculated_days(
    days: Iterable[TreatmentDay],
    authorization_balance: AuthorizationBalance,
    payers: PayerRulesById,
) -> list[VisitCalculated]:
    """Several days' new results, each from what the one before it left."""
    made: list[VisitCalculated] = []
    for day in days:
        now = recalculated(day, authorization_balance, payers)
        for one in now:
            authorization_balance = authorization_balance.after(one)
        made += now
    return made


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


def with_session(day: TreatmentDay, session: TreatedSession) -> TreatmentDay:
    """The day with one of its sessions as it is now, or with one more."""
    others = [one for one in day.sessions if one.session_id != session.session_id]
    return _with(day, [*others, session])


def _treated(rec: RecordedEvent, signed: NoteSigned, facts: BillingFacts) -> TreatedSession:
    return TreatedSession(
        session_id=signed.session_id,
        note_id=signed.note_id,
        facility_id=signed.facility_id,
        practitioner_id=signed.practitioner_id,
        credential=signed.credential,
        minutes=_minutes(signed.minutes),
        signed_at=rec.recorded_at,
        signed_by=rec.actor,
        started_at=signed.started_at,
        ended_at=signed.ended_at,
        class_id=facts.class_id,
        awaits_co_signature=facts.awaits_co_signature,
    )


def _days_near(authorization_balance: AuthorizationBalance, local_date: date) -> list[TreatmentDay]:
    """The client's days of which a session may reach into one of a day."""
    return [
        day_of_visit(authorization_balance, visit_id)
        for visit_id, visit in authorization_balance.visits.items()
        if abs(visit.last.local_date - local_date) <= timedelta(days=1)
    ]


def _told(day: TreatmentDay, treated: TreatedSession) -> TreatmentDay:
    """The day with its sessions told when another one took place that may share their time."""
    anew = {treated.session_id}
    return _with(day, [with_shared(one, [span_of(treated)], anew) for one in day.sessions])


def _day_of_note(
    signed: NoteSigned,
    treated: TreatedSession,
    elsewhere: tuple[SessionSpan, ...],
    authorization_balance: AuthorizationBalance,
    ctx: Context,
) -> TreatmentDay:
    near = _days_near(authorization_balance, signed.local_date)
    own = [span_of(one) for day in near for one in day.sessions]
    session = with_shared(treated, [*own, *elsewhere])
    discipline = DISCIPLINE_OF[signed.credential]
    visit_id = authorization_balance.by_day.get((signed.local_date, discipline))
    if visit_id is None:
        return TreatmentDay(ctx.new_id(), signed.local_date, discipline, (session,))
    return with_session(_told(day_of_visit(authorization_balance, visit_id), treated), session)


def _react_to_addendum(
    addendum: AddendumAdded, authorization_balance: AuthorizationBalance, facts: BillingFacts
) -> list[VisitCalculated]:
    """The days with the minutes and the times that an addendum corrected.

    Other times may share other minutes: overlaps are looked for again, on all sides, and
    what was shared before and is not any more is given back.
    """
    visit_id = authorization_balance.by_note.get(addendum.note_id)
    changes = _corrections(addendum)
    before = authorization_balance.session_of_note(addendum.note_id)
    if visit_id is None or before is None or not changes:
        return []
    day = day_of_visit(authorization_balance, visit_id)
    session = msgspec.structs.replace(before, **changes)
    if span_of(session) == span_of(before):
        return recalculated(with_session(day, session), authorization_balance, facts.payers)
    made = _sharing_days(
        (day.local_date, day.discipline), session, authorization_balance, facts.payers
    )
    for one in made:
        authorization_balance = authorization_balance.after(one)
    near = _days_near(authorization_balance, day.local_date)
    own = [span_of(one) for other in near for one in other.sessions]
    anew = {one.session_id for one in own} | facts.standing
    session = with_shared(session, [*own, *facts.elsewhere], anew)
    parted = tuple(sorted(shared_elsewhere(before) - shared_elsewhere(session)))
    now = recalculated(
        with_session(_told(day, session), session), authorization_balance, facts.payers
    )
    return [*made, *(msgspec.structs.replace(one, parted_from=parted) for one in now)]


def _corrections(addendum: AddendumAdded) -> dict[str, Any]:
    changes: dict[str, Any] = {}
    if addendum.corrected_minutes is not None:
        changes["minutes"] = _minutes(addendum.corrected_minutes)
    if addendum.after is not None:
        times = addendum.after.times
        changes |= {"started_at": times.started_at, "ended_at": times.ended_at}
    return changes


def _with(day: TreatmentDay, sessions: Iterable[TreatedSession]) -> TreatmentDay:
    """The day with other sessions, in order of signing."""
    ordered = tuple(sorted(sessions, key=lambda one: (one.signed_at, one.note_id)))
    return TreatmentDay(day.visit_id, day.local_date, day.discipline, ordered, day.earlier)


def _minutes(parts: Iterable[NotePartMinutes]) -> tuple[TreatedMinutes, ...]:
    return tuple(TreatedMinutes(part=one.part, minutes=one.minutes) for one in parts if one.minutes)
