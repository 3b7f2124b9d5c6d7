"""What a draft would be held up for, by the facts as they are known now."""

from __future__ import annotations

from datetime import datetime
from uuid import UUID

from clients.clinical.domain.facts import CLIENT_FACTS, client_facts
from practice.policy.selectors import settings_group
from practice.work import loading
from sessions.assessment.selectors.assessor import SessionAssessor
from sessions.assessment.selectors.facts_timeline import FactsTimeline
from sessions.assessment.selectors.places import AssessmentPlace
from sessions.calendar.domain.session_state import SessionStatus
from sessions.calendar.domain.state import CALENDAR
from sessions.notes.domain.carried import carried_findings
from sessions.notes.domain.content import note_content
from sessions.notes.domain.decisions import note_times
from sessions.notes.domain.drafts import Draft
from sessions.notes.domain.findings import (
    DraftFinding,
    draft_findings,
    incomplete_findings,
    loaded_while_closed,
)
from sessions.notes.domain.measured_lines import not_taken
from sessions.notes.domain.outside import LinePermission
from sessions.notes.domain.settings import NoteSettings
from sessions.notes.selectors.co_signature import co_signature_warnings, techniques_by_hand
from sessions.notes.selectors.extensions import CLOSED_TO_LOAD
from sessions.notes.selectors.line_permissions import permitted_lines
from sessions.notes.selectors.overlaps import note_overlap_warnings


def findings_of_draft(
    client_id: UUID, session_id: UUID, draft: Draft, now: datetime
) -> list[DraftFinding]:
    """What a signature would refuse, ask about or mark in a draft."""
    content = note_content(draft.content())
    states = loading.load_states(client_id, (*CLIENT_FACTS, CALENDAR))
    session = states[CALENDAR].session(session_id)
    permitted: dict[UUID, LinePermission] = {}
    assessor = SessionAssessor(client_id, client_facts(states), states[CALENDAR])
    if content.lines:
        permitted = permitted_lines(
            assessor,
            FactsTimeline(client_id),
            session,
            content.lines,
            note_times(session, content),
        )
    settings = settings_group("notes", NoteSettings)[0]
    found = draft_findings(content, session, permitted, settings, now)
    found += [*incomplete_findings(draft.content()), *not_taken(draft)]
    found += carried_findings(draft.untouched())
    if content.strength:
        closed = [
            one for ask in CLOSED_TO_LOAD.answers for one in ask(client_id, session.local_date)
        ]
        found += loaded_while_closed(content.strength, closed)
    unsigned = session.status is not SessionStatus.COMPLETED
    if unsigned and (content.lines or content.minutes):
        by_hand = techniques_by_hand(content.lines)
        place = AssessmentPlace(session.practitioner_id, session.facility_id, session.local_date)
        facts = assessor.case(place).facts
        found += [
            DraftFinding(field="signature", code=one.code, text=one.text)
            for one in co_signature_warnings(facts, session, by_hand, now)
        ]
    if content.minutes and session.status is not SessionStatus.COMPLETED:
        times = note_times(session, content)
        found += [
            DraftFinding(field="minutes", code=one.code, text=one.text)
            for one in note_overlap_warnings(client_id, session, times)
        ]
    return found
