"""Commands of the day itself: arrived, absent, opened, stopped. One function each."""

from __future__ import annotations

from uuid import UUID

from clients.domain.clinical import CLIENT_FACTS, client_facts
from clients.domain.permissions.outputs import Judgement as Verdicts
from practice.domain.decisions import Context, Decided, States
from practice.domain.reasons import Rejected
from practice.eventlog.runner import Work
from sessions.domain.calendar.attendance import (
    decide_absent,
    decide_arrive,
    decide_open,
    decide_stop,
)
from sessions.domain.calendar.commands import Arrive, MarkAbsent, Stop
from sessions.domain.calendar.events import Answers, Judgement
from sessions.domain.calendar.state import CALENDAR
from sessions.models import Session
from sessions.selectors.calendar import session_get
from sessions.services.calendar import SLICES, Done, calendar_settings
from sessions.services.judging import Judge, Place


def session_arrive(work: Work, command: Arrive) -> tuple[Done, Verdicts]:
    """Take the arrival answers. A fact that may narrow: never refused as stale."""
    row = session_get(work.actor, command.session_id)
    known = work.states(row.client_id, (*CLIENT_FACTS, CALENDAR))
    judge = Judge(row.client_id, client_facts(known))
    judgement, verdicts = _judged(work, row, command.answers, judge)
    settings = calendar_settings()

    def decide(states: States, ctx: Context) -> Decided:
        said = judge.day(states[CALENDAR], row.local_date)
        lifted = said.red - judge.red(command.answers)
        return decide_arrive(states[CALENDAR], command, judgement, settings, ctx, lifted=lifted)

    outcome = work.execute(row.client_id, SLICES, decide)
    return Done(row.id, row.client_id, outcome, list(verdicts.warnings)), verdicts


def session_absent(work: Work, command: MarkAbsent) -> Done:
    """Record that the client did not come."""
    row = session_get(work.actor, command.session_id)
    outcome = work.execute(
        row.client_id,
        SLICES,
        lambda states, ctx: decide_absent(states[CALENDAR], command, ctx),
    )
    return Done(row.id, row.client_id, outcome)


def session_open(work: Work, session_id: UUID) -> Done:
    """The session's own practitioner opens it and is shown what is permitted, by the day's
    answers: a red flag since in another session closes this one too."""
    row = session_get(work.actor, session_id)
    practitioner_id = own_session(work, row)
    states = work.states(row.client_id, (*CLIENT_FACTS, CALENDAR))
    session = states[CALENDAR].session(row.id)
    case = Judge(row.client_id, client_facts(states)).now(session, states[CALENDAR])
    verdicts = case.judged()
    judgement = case.kept(verdicts)
    outcome = work.execute(
        row.client_id,
        SLICES,
        lambda states, _: decide_open(states[CALENDAR], row.id, practitioner_id, judgement),
    )
    return Done(row.id, row.client_id, outcome, list(verdicts.warnings))


def session_stop(work: Work, command: Stop) -> Done:
    """Record that hands-on work was stopped. Never refused as stale."""
    row = session_get(work.actor, command.session_id)
    outcome = work.execute(
        row.client_id,
        SLICES,
        lambda states, ctx: decide_stop(states[CALENDAR], command, ctx),
    )
    return Done(row.id, row.client_id, outcome)


def own_session(work: Work, row: Session) -> UUID:
    """The practitioner who asks, if it is her session. Raises Rejected 403 otherwise."""
    if work.actor.practitioner_id is None or work.actor.practitioner_id != row.practitioner_id:
        raise Rejected(
            "not_your_session",
            "Only the practitioner of the session does this. Move the session to whoever gave it.",
            status=403,
        )
    return row.practitioner_id


def _judged(work: Work, row: Session, answers: Answers, judge: Judge) -> tuple[Judgement, Verdicts]:
    session = work.states(row.client_id, SLICES)[CALENDAR].session(row.id)
    place = Place(session.practitioner_id, session.facility_id, session.local_date)
    case = judge.case(place, session_id=session.id, answers=answers, stop=session.stop)
    verdicts = case.judged()
    return case.kept(verdicts), verdicts
