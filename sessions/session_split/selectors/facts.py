"""The split of a session's hour: what is suggested, and the practitioner's own."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from clients.clinical.domain.facts import CLIENT_FACTS, client_facts
from clients.clinical.domain.swelling_risk import affected_arms, arms_at_risk
from clients.permissions.domain.law import law_on
from clients.permissions.domain.results import SessionPermissions, narrower
from clients.permissions.selectors import fatigue_warning, operation_regions
from practice.core.appspec import ExtensionPoint
from practice.core.decisions import Slice, States
from practice.core.terms import Activity, Allowance, Credential, Mode, SessionPart, Side
from sessions.assessment.domain.assessment import Assessment
from sessions.assessment.selectors.permissions import EvaluatedSession
from sessions.calendar.domain.session_state import SessionState
from sessions.calendar.domain.state import CALENDAR
from sessions.calendar.domain.terms import SessionPurpose
from sessions.measurements.domain.body import marked_findings
from sessions.measurements.domain.deficits import deficits, goal_lookup
from sessions.measurements.domain.state import MEASUREMENTS
from sessions.measurements.selectors.settings import measurement_settings, norms
from sessions.notes.domain.state import NOTES
from sessions.session_split.domain.share import SessionSplitFacts
from sessions.session_split.domain.state import SESSION_SPLITS
from sessions.session_split.selectors.loading import body_facts, limb_facts

SLICES: tuple[Slice[Any, Any], ...] = (MEASUREMENTS, CALENDAR, *CLIENT_FACTS, NOTES, SESSION_SPLITS)
LAST_SESSIONS = 5

PayableParts = Callable[[UUID, date, Credential], "tuple[SessionPart, ...] | None"]
PAYABLE_PARTS = ExtensionPoint[PayableParts]("parts of a session that a payer pays for")
"""``parts(client_id, day, credential)``: which parts a client's payer pays for; None: nobody
else pays."""


@dataclass(frozen=True)
class SplitDayFacts:
    """What the practitioner says about the client that is not on record."""

    sedentary: bool | None = None
    tolerates_little: bool | None = None


def _paid(client_id: UUID, session: SessionState) -> tuple[SessionPart, ...] | None:
    known = [
        payer(client_id, session.local_date, session.credential) for payer in PAYABLE_PARTS.answers
    ]
    return next((parts for parts in known if parts is not None), None)


def _stretching_allowed(session: SessionState, case: Assessment) -> bool:
    """Whether the law lets this credential at least instruct stretching there that day."""
    return not any(
        row.credential is session.credential
        and row.activity is Activity.EXERCISE_INSTRUCTION
        and row.allowance is Allowance.NOT_ALLOWED
        for row in law_on(case.facts.limits, session.local_date)
    )


def _widest_mode(session: SessionState, case: Assessment, evaluated: SessionPermissions) -> Mode:
    """The widest that anything may be: once the client has arrived, what holds now, as the opening
    says it, within what was asked for; before that, as planned and as it may be if the answers
    bring nothing new, unless those of an earlier session that day close it."""
    if session.answers is not None:
        return narrower(session.requested_mode or Mode.HANDS_ON, evaluated.mode)
    mode = evaluated.mode
    if mode is not Mode.NOT_TODAY:
        mode = case.planned().mode
    return narrower(session.mode, mode)


def _last_sessions(states: States, session: SessionState) -> tuple[dict[SessionPart, int], ...]:
    earlier = [n for n in states[NOTES].by_session.values() if n.started_at < session.starts_at]
    newest = sorted(earlier, key=lambda n: n.started_at, reverse=True)[:LAST_SESSIONS]
    return tuple({m.part: m.minutes for m in note.minutes} for note in newest)


def session_split_facts(
    client_id: UUID, states: States, judged: EvaluatedSession, day: SplitDayFacts
) -> SessionSplitFacts:
    """Everything that the split of one session is made from; ``states`` of ``SLICES``."""
    client, motion = client_facts(states), states[MEASUREMENTS]
    session, case, evaluated = judged.session, judged.case, judged.permissions
    answers, on = session.answers, session.local_date
    both = frozenset({Side.LEFT, Side.RIGHT})
    sides = affected_arms(client, on, operation_regions()) or both
    tired = answers is not None and (answers.fatigue or 0) >= fatigue_warning()
    goal_of = goal_lookup(motion, measurement_settings(), norms())
    return SessionSplitFacts(
        booked_minutes=round(session.length.total_seconds() / 60),
        credential=session.credential,
        evaluation=session.purpose is SessionPurpose.EVALUATION,
        deficits=deficits(motion, goal_of, sides),
        posture_findings=marked_findings(motion),
        body=body_facts(client, on, sedentary=day.sedentary),
        limbs=limb_facts(evaluated.load, motion),
        tolerates_little=tired if day.tolerates_little is None else day.tolerates_little,
        at_risk_of_swelling=bool(arms_at_risk(client, on)),
        stretching_allowed=_stretching_allowed(session, case),
        paid=_paid(client_id, session),
        last_sessions=_last_sessions(states, session),
        widest_mode=_widest_mode(session, case, evaluated),
    )
