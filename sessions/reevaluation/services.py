"""Re-evaluation: at once when a fact of the client changes, by a job when settings do."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import cast
from uuid import UUID

from clients.clinical.domain.fact_dates import bears_dates, earliest_new_day
from clients.clinical.domain.facts import CLIENT_FACTS, FACT_EVENTS, client_facts
from clients.permissions.domain.evaluation import RULES_VERSION
from practice.clock import clock
from practice.core.decisions import Context, Decided, Job, Reactor, States
from practice.core.events import RecordedEvent
from practice.jobs.handlers import JobPostponed
from practice.jobs.models import ScheduledJob
from practice.jobs.planning import plan_for_each, plan_single, write_jobs
from practice.work.unit_of_work import UnitOfWork
from sessions.assessment.selectors.assessor import SessionAssessor
from sessions.assessment.selectors.facts_timeline import FactsTimeline
from sessions.calendar.domain.events import (
    ArrivalWordsReviewed,
    RedFlagCleared,
    SessionArrived,
    SessionEnteredInError,
    SessionMoved,
    SessionStatusCorrected,
    SessionStopped,
)
from sessions.calendar.domain.session_state import CalendarState, SessionState
from sessions.calendar.domain.state import CALENDAR
from sessions.calendar.models import Session
from sessions.notes.domain.state import NOTES, NotesState, SignedNote
from sessions.notes.selectors.line_permissions import permitted_lines
from sessions.reevaluation.domain.decisions import (
    BookedReevaluation,
    NoteReevaluation,
    day_flags,
    outside_permission_marks,
    reevaluation_flags,
    settled_flags,
)

PRACTICE_ITSELF = UUID(int=1)
REEVALUATION_SWEEP = "reevaluate_all_clients"
CLIENT_REEVALUATION = "reevaluate_client"
BY_RULES = "rules "
UNTIL_REPLACED = timedelta(minutes=1)


@dataclass(frozen=True)
class ReevaluationScope:
    """What a changed fact touches: sessions to come and notes that it reaches back to."""

    ahead: list[BookedReevaluation]
    behind: list[NoteReevaluation]


def _gather(client_id: UUID, states: States, rec: RecordedEvent) -> ReevaluationScope:
    calendar, notes = states[CALENDAR], states[NOTES]
    assessor = SessionAssessor(client_id, client_facts(states), calendar)
    ahead = _ahead(assessor, calendar, rec.recorded_at)
    return ReevaluationScope(ahead, list(_notes_reached(client_id, assessor, calendar, notes, rec)))


def _ahead(
    assessor: SessionAssessor, calendar: CalendarState, now: datetime
) -> list[BookedReevaluation]:
    return [BookedReevaluation(one, assessor.session(one)) for one in calendar.unfinished(now)]


def _notes_reached(
    client_id: UUID,
    assessor: SessionAssessor,
    calendar: CalendarState,
    notes: NotesState,
    rec: RecordedEvent,
) -> Iterator[NoteReevaluation]:
    """The signed notes of sessions that a fact reaches back to: by when it is said to have
    happened, or by the date that it bears itself (ruling 47)."""
    entered_late = rec.occurred_at < rec.recorded_at
    if not notes.by_session or not (entered_late or bears_dates(rec.data)):
        return
    without = FactsTimeline(client_id)
    since = earliest_new_day(rec.data, without.now)
    late: list[tuple[SignedNote, SessionState]] = []
    for note in notes.by_session.values():
        session = calendar.session(note.session_id)
        dated = since is not None and session.local_date >= since
        if note.lines and (dated or (entered_late and note.count.times.ended_at > rec.occurred_at)):
            late.append((note, session))
    if not late:
        return
    with_fact = FactsTimeline(client_id, [rec])
    for note, session in late:
        yield NoteReevaluation(
            note,
            permitted=permitted_lines(assessor, with_fact, session, note.lines, note.count.times),
            before=permitted_lines(assessor, without, session, note.lines, note.count.times),
        )


def _stopped(client_id: UUID, states: States, rec: RecordedEvent) -> list[NoteReevaluation]:
    """The note that was signed before its session's stop was recorded."""
    stopped = cast(SessionStopped, rec.data)
    note = states[NOTES].by_session.get(stopped.session_id)
    if note is None:
        return []
    session = states[CALENDAR].session(note.session_id)
    assessor = SessionAssessor(client_id, client_facts(states), states[CALENDAR])
    timeline = FactsTimeline(client_id)
    unstopped = (
        replace(session, end_stop=None) if stopped.everything else replace(session, touch_stop=None)
    )
    lines, times = note.lines, note.count.times
    return [
        NoteReevaluation(
            note,
            permitted=permitted_lines(assessor, timeline, session, lines, times),
            before=permitted_lines(assessor, timeline, unstopped, lines, times),
        )
    ]


def _react(rec: RecordedEvent, states: States, found: ReevaluationScope, ctx: Context) -> Decided:
    return [
        *reevaluation_flags(found.ahead, rec.type),
        *outside_permission_marks(found.behind, rec.type),
    ]


FACTS_CHANGED = Reactor(
    name="sessions.reevaluate",
    on=FACT_EVENTS,
    slices=(*CLIENT_FACTS, CALENDAR, NOTES),
    react=_react,
    lookup=_gather,
)
"""A fact of the client re-evaluates their sessions in the transaction that records it."""

STOPPED = Reactor(
    name="sessions.stopped",
    on=(SessionStopped,),
    slices=(*CLIENT_FACTS, CALENDAR, NOTES),
    react=lambda rec, _states, found, _ctx: outside_permission_marks(found, rec.type),
    lookup=_stopped,
)
"""A stop that is recorded after the signature marks the lines that came after it."""


def _unfinished(client_id: UUID, states: States, rec: RecordedEvent) -> list[BookedReevaluation]:
    """The sessions that are not over: what is said in one bears on all of that day, and a red
    flag on later ones too until it is cleared. A move bears on the session that is moved."""
    calendar = states[CALENDAR]
    sessions = list(calendar.unfinished(rec.recorded_at))
    if isinstance(rec.data, SessionMoved):
        moved = rec.data.session_id
        sessions = [one for one in sessions if one.id == moved and _something_said(calendar)]
    assessor = SessionAssessor(client_id, client_facts(states), calendar)
    return [BookedReevaluation(one, assessor.now(one, calendar)) for one in sessions]


def _something_said(calendar: CalendarState) -> bool:
    """Whether a sign stands or words wait: else no move brings a session under any."""
    return any(
        any(sign.stands() for sign in one.signs) or any(said.waits() for said in one.words)
        for one in calendar.sessions.values()
    )


SAID = Reactor(
    name="sessions.said",
    on=(
        SessionArrived,
        RedFlagCleared,
        ArrivalWordsReviewed,
        SessionStatusCorrected,
        SessionEnteredInError,
        SessionMoved,
    ),
    slices=(*CLIENT_FACTS, CALENDAR),
    react=lambda rec, _states, found, _ctx: day_flags(found, rec.type),
    lookup=_unfinished,
)
"""What answers on arrival narrow is flagged at once, until they are cleared or corrected."""


def reevaluate_client(uow: UnitOfWork, client_id: UUID, cause: str) -> None:
    """Flag the client's future sessions that are narrower now than they were planned; a flag for
    a fact of the practice that was put back ends."""

    def decide(states: States, ctx: Context) -> Decided:
        calendar = states[CALENDAR]
        assessor = SessionAssessor(client_id, client_facts(states))
        ahead = _ahead(assessor, calendar, ctx.now)
        of_day = [
            BookedReevaluation(one.session, assessor.now(one.session, calendar))
            for one in ahead
            if one.session.flag and one.session.day_flag
        ]
        return settled_flags(ahead, cause, of_day)

    uow.execute(client_id, (*CLIENT_FACTS, CALENDAR), decide)


def plan_reevaluation_sweep(uow: UnitOfWork) -> None:
    """A change of settings or law plans a sweep, unless one waits; one that runs begins again."""
    plan_single(REEVALUATION_SWEEP, PRACTICE_ITSELF)


def rules_sweep(now: datetime) -> Job:
    """The sweep of this program's version of the rules: once for each version, since a job that
    was done is never planned again."""
    occasion = f"{BY_RULES}{RULES_VERSION}"
    return Job(REEVALUATION_SWEEP, PRACTICE_ITSELF, occasion=occasion, due_at=now)


def _cause(job: ScheduledJob) -> str:
    """What a sweep is for. Raises JobPostponed for a version of the rules that this process does
    not know: one with the new program does it, or this one once it is replaced."""
    if not job.occasion.startswith(BY_RULES):
        return "settings"
    if int(job.occasion.removeprefix(BY_RULES)) > RULES_VERSION:
        raise JobPostponed(clock.now() + UNTIL_REPLACED)
    return "rules"


def run_reevaluation_sweep(uow: UnitOfWork, job: ScheduledJob) -> None:
    """One job for each client with sessions to come: each is evaluated on its own.

    What new rules ask for waits in rows of its own: an older process leaves those alone.
    """
    now = clock.now()
    by_rules = _cause(job) == "rules"
    clients = (
        Session.objects.filter(status="booked", ends_at__gt=now)
        .order_by("client_id")
        .values_list("client_id", flat=True)
        .distinct()
    )
    if by_rules:
        write_jobs(
            Job(CLIENT_REEVALUATION, client, occasion=job.occasion, due_at=now)
            for client in clients
        )
    else:
        plan_for_each(CLIENT_REEVALUATION, list(clients), job.pk)


def run_client_reevaluation(uow: UnitOfWork, job: ScheduledJob) -> None:
    """Evaluate one client's future sessions by the rules and settings as they are now."""
    reevaluate_client(uow, job.subject, _cause(job))
