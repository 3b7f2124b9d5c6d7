"""Judging again: at once when a fact of the client changes, by due work when settings do."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import cast
from uuid import UUID

from clients.domain.clinical import CLIENT_FACTS, FACT_EVENTS, client_facts
from practice.clock import clock
from practice.domain.decisions import Context, Decided, Due, Reactor, States
from practice.domain.events import Recorded
from practice.due.planning import write_due
from practice.due.registry import handler
from practice.eventlog.runner import Work
from practice.services.hooks import on_settings_changed
from sessions.domain.calendar.events import SessionStopped
from sessions.domain.calendar.state import CALENDAR, Booked, Calendar
from sessions.domain.judging.again import Again, Revisited, flags, marks
from sessions.domain.notes.state import NOTES, Notes, SignedNote
from sessions.models import Session
from sessions.services.judging import Judge
from sessions.services.permitted import permitted_lines
from sessions.services.timeline import Timeline

PRACTICE_ITSELF = UUID(int=1)
SWEEP = "judge_all_again"
ONE_CLIENT = "judge_again"


@dataclass(frozen=True)
class Found:
    """What a changed fact touches: sessions to come and notes that it reaches back to."""

    ahead: list[Again]
    behind: list[Revisited]


def _gather(client_id: UUID, states: States, rec: Recorded) -> Found:
    judge = Judge(client_id, client_facts(states))
    calendar, notes = states[CALENDAR], states[NOTES]
    ahead = [Again(one, judge.session(one)) for one in calendar.upcoming(rec.recorded_at)]
    if rec.effective_at >= rec.recorded_at:
        return Found(ahead, [])
    return Found(ahead, list(_reached(client_id, judge, calendar, notes, rec)))


def _reached(
    client_id: UUID, judge: Judge, calendar: Calendar, notes: Notes, rec: Recorded
) -> Iterator[Revisited]:
    """The signed notes of sessions that a late fact reaches back to."""
    late: list[tuple[SignedNote, Booked]] = []
    for note in notes.by_session.values():
        session = calendar.session(note.session_id)
        if note.lines and note.started_at + session.length > rec.effective_at:
            late.append((note, session))
    if not late:
        return
    without, with_fact = Timeline(client_id), Timeline(client_id, [rec])
    for note, session in late:
        yield Revisited(
            note,
            permitted=permitted_lines(judge, with_fact, session, note.lines),
            before=permitted_lines(judge, without, session, note.lines),
        )


def _stopped(client_id: UUID, states: States, rec: Recorded) -> list[Revisited]:
    """The note that was signed before its session's stop was recorded."""
    stopped = cast(SessionStopped, rec.data)
    note = states[NOTES].by_session.get(stopped.session_id)
    if note is None:
        return []
    session = states[CALENDAR].session(note.session_id)
    judge, timeline = Judge(client_id, client_facts(states)), Timeline(client_id)
    return [
        Revisited(
            note,
            permitted=permitted_lines(judge, timeline, session, note.lines),
            before=permitted_lines(judge, timeline, replace(session, stop=None), note.lines),
        )
    ]


def _react(rec: Recorded, states: States, found: Found, ctx: Context) -> Decided:
    return [*flags(found.ahead, rec.type), *marks(found.behind, rec.type)]


FACTS_CHANGED = Reactor(
    name="sessions.judge_again",
    on=FACT_EVENTS,
    slices=(*CLIENT_FACTS, CALENDAR, NOTES),
    react=_react,
    gather=_gather,
)
"""A fact of the client judges her sessions again in the transaction that records it."""

STOPPED = Reactor(
    name="sessions.stopped",
    on=(SessionStopped,),
    slices=(*CLIENT_FACTS, CALENDAR, NOTES),
    react=lambda rec, _states, found, _ctx: marks(found, rec.type),
    gather=_stopped,
)
"""A stop that is recorded after the signature marks the lines that came after it."""


def judge_client_again(work: Work, client_id: UUID, because: str) -> None:
    """Flag the client's future sessions that are narrower now than they were planned."""

    def decide(states: States, ctx: Context) -> Decided:
        judge = Judge(client_id, client_facts(states))
        ahead = [Again(one, judge.session(one)) for one in states[CALENDAR].upcoming(ctx.now)]
        return flags(ahead, because)

    work.execute(client_id, (*CLIENT_FACTS, CALENDAR), decide)


@on_settings_changed
def plan_sweep(work: Work) -> None:
    """A change of what judges sessions plans one sweep; a worker is woken on commit."""
    now = clock.now()
    key = f"{SWEEP}:{now.isoformat()}"
    write_due([Due(kind=SWEEP, key=key, subject=PRACTICE_ITSELF, at=now)])


@handler(SWEEP)
def sweep(work: Work, subject: UUID, key: str) -> None:
    """One due row for each client with sessions to come: each is judged on its own."""
    now = clock.now()
    clients = (
        Session.objects.filter(status="booked", ends_at__gt=now)
        .order_by("client_id")
        .values_list("client_id", flat=True)
        .distinct()
    )
    stamp = key.removeprefix(f"{SWEEP}:")
    write_due(
        Due(kind=ONE_CLIENT, key=f"{ONE_CLIENT}:{client}:{stamp}", subject=client, at=now)
        for client in clients
    )


@handler(ONE_CLIENT)
def judge_again(work: Work, client_id: UUID, key: str) -> None:
    """Judge one client's future sessions by the settings as they are now."""
    judge_client_again(work, client_id, "settings")
