"""The permission of every line of a note, by the facts of its own minute."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from clients.permissions.domain.results import SessionPermissions as Verdicts
from sessions.assessment.selectors.assessor import SessionAssessor
from sessions.assessment.selectors.facts_timeline import FactsTimeline
from sessions.assessment.selectors.places import AssessmentPlace
from sessions.calendar.domain.session_state import SessionState, SessionStop
from sessions.calendar.domain.terms import SubmittedArrivalAnswers
from sessions.notes.domain.events import NoteLine, SessionTimes
from sessions.notes.domain.line_permissions import permitted
from sessions.notes.domain.outside import LinePermission


def permitted_lines(
    assessor: SessionAssessor,
    timeline: FactsTimeline,
    session: SessionState,
    lines: Sequence[NoteLine],
    times: SessionTimes,
) -> dict[UUID, LinePermission]:
    """What each line may have been at most, as it was then and as known now.

    ``times``: when the session took place; the minutes of lines count from its start.
    """
    place = AssessmentPlace(session.practitioner_id, session.facility_id, session.local_date)
    known: dict[tuple[int, SessionStop | None], Verdicts] = {}

    def permissions_at(at: datetime, stop: SessionStop | None) -> Verdicts:
        facts = timeline.facts(at)
        key = (id(facts), stop)
        if key not in known:
            case = assessor.case(
                place,
                session_id=session.id,
                answers=session.answers or SubmittedArrivalAnswers(),
                stop=stop,
                client=facts,
                signs=assessor.signs(session),
            )
            known[key] = case.evaluated()
        return known[key]

    return permitted(session, lines, times.started_at, times.ended_at, permissions_at)
