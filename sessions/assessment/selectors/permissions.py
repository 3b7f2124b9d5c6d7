"""What may be done with a client: now, somewhere, with someone; or in one session."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

import msgspec

from clients.clinical.domain.facts import CLIENT_FACTS, client_facts
from clients.identity.selectors import require_visible_client
from clients.permissions.domain.results import SessionPermissions
from practice.clock import clock
from practice.core.decisions import Actor, States
from practice.core.localtime import local_day
from practice.core.reasons import Reason, existing
from practice.people_and_places.selectors.kept import place_get, practitioner_names
from practice.work import loading
from sessions.assessment.domain.assessment import Assessment
from sessions.assessment.domain.day_answers import DayAnswers
from sessions.assessment.selectors.assessor import SessionAssessor
from sessions.assessment.selectors.places import AssessmentPlace
from sessions.calendar.domain.session_state import SessionState
from sessions.calendar.domain.state import CALENDAR


def client_permissions(
    actor: Actor,
    client_id: UUID,
    practitioner_id: UUID,
    facility_id: UUID,
    day: date | None,
    known_at: datetime | None = None,
) -> tuple[SessionPermissions, DayAnswers]:
    """The permissions for a practitioner, a facility and a local day (default today there).

    ``known_at``: by what was known at an instant, by default of the local day that it was.

    What the client answered on arrival that day, in any session with anybody, and a stop
    since then count; both are returned beside the permissions.
    """
    require_visible_client(actor, client_id)
    facility = place_get(actor, facility_id)
    existing(practitioner_names().get(practitioner_id), "practitioner")
    today = local_day(known_at or clock.now(), facility.zone)
    day = day or today
    place = AssessmentPlace(practitioner_id, facility_id, day, to_be_held=day >= today)
    states = loading.load_states(client_id, (*CLIENT_FACTS, CALENDAR), known_at=known_at)
    assessor = SessionAssessor(client_id, client_facts(states), known_at=known_at)
    said = assessor.day(states[CALENDAR], place.day)
    case = assessor.case(place, answers=said.answers, stop=said.stop, signs=said.signs)
    evaluated = case.evaluated()
    if known_at is not None:
        evaluated = msgspec.structs.replace(
            evaluated, warnings=(rules_of_today(evaluated), *evaluated.warnings)
        )
    return evaluated, said


def rules_of_today(evaluated: SessionPermissions) -> Reason:
    """What cannot be reconstructed: which rules the program had then."""
    text = (
        f"By version {evaluated.versions.rules} of the rules, those of the program of today; all"
        " else is as it was on record then. What a session was allowed by the rules of its time"
        " is kept with it."
    )
    return Reason(code="known_at.rules", text=text, source="practice policy")


@dataclass(frozen=True)
class EvaluatedSession:
    """A session as it stands, what it is evaluated by, and what may be done in it now."""

    session: SessionState
    case: Assessment
    permissions: SessionPermissions


def evaluated_session(client_id: UUID, states: States, session_id: UUID) -> EvaluatedSession:
    """A session by its client's facts and calendar, after a stop if there was one.

    A red flag of another session that day closes it too while it is open.
    """
    calendar = states[CALENDAR]
    session = calendar.session(session_id)
    case = SessionAssessor(client_id, client_facts(states)).now(session, calendar)
    return EvaluatedSession(session, case, case.evaluated())
