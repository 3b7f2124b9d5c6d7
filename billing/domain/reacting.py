"""Billing's reactor: a signature reckons the client's day again. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from uuid import UUID

import msgspec

from billing.domain.balance import Day
from billing.domain.cover import COVER, Cover
from billing.domain.events import Minutes, Treated, VisitDrawn
from billing.domain.payers import Payers
from billing.domain.reckoning import reckon, says_something_new
from billing.domain.terms import DISCIPLINE_OF
from practice.domain.decisions import Context, Decided, States
from practice.domain.events import Recorded
from sessions.domain.notes.events import AddendumAdded, NoteSigned, PartMinutes


@dataclass(frozen=True, slots=True)
class Facts:
    """What was read after the lock: the payers' rules, and sessions of other clients in
    whose minutes the practitioner was too."""

    payers: Payers
    overlaps: tuple[UUID, ...] = ()


def react_to_note(rec: Recorded, states: States, facts: Facts, ctx: Context) -> Decided:
    """Reckon the day of a note that was just signed, or whose minutes an addendum corrected."""
    cover, payers = states[COVER], facts.payers
    if isinstance(rec.data, NoteSigned):
        day = _day_of_note(rec, rec.data, facts.overlaps, cover, ctx)
        return reckoned(day, cover, payers)
    if isinstance(rec.data, AddendumAdded) and rec.data.corrected_minutes is not None:
        corrected = _day_of_addendum(rec.data, cover)
        return reckoned(corrected, cover, payers) if corrected is not None else []
    return []


def reckoned(
    day: Day, cover: Cover, payers: Payers, chosen: UUID | None = None
) -> list[VisitDrawn]:
    """The day's new reckoning, or nothing where it is as it was."""
    now = reckon(day, cover, payers, chosen)
    return [now] if says_something_new(day, now) else []


def day_again(cover: Cover, visit_id: UUID) -> Day:
    """A visit's day as it stands, to be reckoned again; Rejected 404 where there is none."""
    visit = cover.visit(visit_id)
    last = visit.last
    return Day(last.visit_id, last.local_date, last.discipline, last.sessions, visit)


def with_minutes_assigned(day: Day, session_id: UUID) -> Day:
    """The day with the overlapping minutes of one session counted."""
    return _with(
        day,
        [
            msgspec.structs.replace(one, assigned=True) if one.session_id == session_id else one
            for one in day.sessions
        ],
    )


def _day_of_note(
    rec: Recorded, signed: NoteSigned, overlaps: tuple[UUID, ...], cover: Cover, ctx: Context
) -> Day:
    discipline = DISCIPLINE_OF[signed.credential]
    treated = Treated(
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
    visit_id = cover.by_day.get((signed.local_date, discipline))
    if visit_id is None:
        return Day(ctx.new_id(), signed.local_date, discipline, (treated,))
    day = day_again(cover, visit_id)
    return _with(day, [*day.sessions, treated])


def _day_of_addendum(addendum: AddendumAdded, cover: Cover) -> Day | None:
    visit_id = cover.by_note.get(addendum.note_id)
    if visit_id is None or addendum.corrected_minutes is None:
        return None
    day, minutes = day_again(cover, visit_id), _minutes(addendum.corrected_minutes)
    return _with(
        day,
        [
            msgspec.structs.replace(one, minutes=minutes)
            if one.note_id == addendum.note_id
            else one
            for one in day.sessions
        ],
    )


def _with(day: Day, sessions: Iterable[Treated]) -> Day:
    """The day with other sessions, in order of signing."""
    ordered = tuple(sorted(sessions, key=lambda one: (one.signed_at, one.note_id)))
    return Day(day.visit_id, day.local_date, day.discipline, ordered, day.earlier)


def _minutes(parts: Iterable[PartMinutes]) -> tuple[Minutes, ...]:
    return tuple(Minutes(part=one.part, minutes=one.minutes) for one in parts if one.minutes)
