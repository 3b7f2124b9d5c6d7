"""Signing a note and adding to a signed one. One function each."""

from __future__ import annotations

from uuid import UUID

from clients.clinical.domain.facts import CLIENT_FACTS, client_facts
from practice.core.reasons import Rejected, check_version
from practice.policy.selectors import settings_group
from practice.work.unit_of_work import UnitOfWork
from sessions.assessment.domain.assessment import Assessment
from sessions.assessment.selectors.assessor import AssessmentPlace, SessionAssessor
from sessions.assessment.selectors.facts_timeline import FactsTimeline
from sessions.booking.services.attendance import own_session
from sessions.booking.services.sessions import SessionCommandResult
from sessions.calendar.domain.events import SubmittedArrivalAnswers
from sessions.calendar.domain.state import CALENDAR, SessionState
from sessions.calendar.selectors.sessions import session_get
from sessions.notes.domain.commands import AddToNote
from sessions.notes.domain.content import note_content
from sessions.notes.domain.decisions import (
    NoteSettings,
    SignFacts,
    decide_addendum,
    decide_sign,
    started_at,
)
from sessions.notes.domain.state import NOTES
from sessions.notes.models import NoteDraft
from sessions.notes.selectors.line_permissions import permitted_lines
from sessions.notes.services.drafts import decrypt_draft, lock_draft

SLICES = (CALENDAR, NOTES)
DRAFT_MOVED_ON = "The draft has moved on to revision {version}. Read it again, then sign."


def note_settings() -> NoteSettings:
    """The practice's settings of notes."""
    return settings_group("notes", NoteSettings)[0]


def note_sign(uow: UnitOfWork, *, session_id: UUID, if_match: int) -> SessionCommandResult:
    """Sign the draft at the revision ``if_match``; from then on the note never changes.

    Raises Rejected: 403 for another's session, 412 for a draft that has moved on, and
    whatever the decision refuses.
    """
    row = session_get(uow.actor, session_id)
    own_session(uow, row)
    uow.lock(row.client_id)
    paper = lock_draft(row.pk)
    if paper is None:
        raise Rejected("no_draft", "There is no draft of this note yet; save one first.")
    if not paper.closed:
        check_version(paper.revision, if_match, DRAFT_MOVED_ON)
    states = uow.states(row.client_id, (*CLIENT_FACTS, CALENDAR))
    session = states[CALENDAR].session(row.pk)
    facts = _sign_facts(
        paper, session, SessionAssessor(row.client_id, client_facts(states), states[CALENDAR])
    )
    outcome = uow.execute(
        row.client_id,
        SLICES,
        lambda found, ctx: decide_sign(found[CALENDAR], found[NOTES], row.pk, facts, ctx),
    )
    paper.closed = True
    paper.updated_at = uow.now
    paper.save()
    return SessionCommandResult(row.pk, row.client_id, outcome)


def addendum_add(uow: UnitOfWork, *, session_id: UUID, command: AddToNote) -> SessionCommandResult:
    """Add to a signed note; what was kept as unsent for it is sent or dropped with it."""
    row = session_get(uow.actor, session_id)
    practitioner_id = own_session(uow, row)
    settings = note_settings()
    outcome = uow.execute(
        row.client_id,
        (NOTES,),
        lambda states, ctx: decide_addendum(
            states[NOTES],
            row.pk,
            practitioner_id,
            command.text,
            command.corrected_minutes,
            settings,
            ctx,
        ),
    )
    paper = lock_draft(row.pk)
    if paper is not None and paper.unsent:
        paper.unsent = b""
        paper.save()
    return SessionCommandResult(row.pk, row.client_id, outcome)


def _sign_facts(paper: NoteDraft, session: SessionState, assessor: SessionAssessor) -> SignFacts:
    draft = decrypt_draft(paper)
    content = note_content(draft.content())
    timeline = FactsTimeline(paper.client_id)
    case = _case_at_end(assessor, timeline, session)
    permissions = case.snapshot(case.evaluated())
    versions = {
        "rules": permissions.rules,
        "record": permissions.record,
        "catalogue": permissions.catalogue,
    }
    return SignFacts(
        note_id=paper.id,
        content=content,
        revision=draft.revision,
        permitted=permitted_lines(assessor, timeline, session, content.lines),
        settings=note_settings(),
        collisions=draft.collisions(),
        evaluated_with={**permissions.settings, **versions},
        permissions=permissions,
    )


def _case_at_end(
    assessor: SessionAssessor, timeline: FactsTimeline, session: SessionState
) -> Assessment:
    """The session as it stood when it ended, before any stop."""
    begin = started_at(session)
    return assessor.case(
        AssessmentPlace(session.practitioner_id, session.facility_id, session.local_date),
        session_id=session.id,
        answers=session.answers or SubmittedArrivalAnswers(),
        client=timeline.facts(max(begin + session.length, session.ends_at)),
    )
