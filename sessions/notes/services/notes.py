"""Signing a note."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from clients.clinical.domain.facts import CLIENT_FACTS, client_facts
from clients.permissions.domain.co_signature import reasons_to_co_sign
from practice.core.reasons import Reason, Rejected, check_version
from practice.people_and_places.locks import lock_rows
from practice.people_and_places.models.practitioners import Supervision
from practice.people_and_places.selectors.practitioners import supervisor_on
from practice.policy.selectors import settings_group
from practice.work import request_cache as unit
from practice.work.unit_of_work import UnitOfWork
from sessions.assessment.selectors.assessor import SessionAssessor
from sessions.assessment.selectors.facts_timeline import FactsTimeline
from sessions.assessment.selectors.places import AssessmentPlace
from sessions.booking.services.attendance import own_session
from sessions.booking.services.sessions import SessionCommandResult
from sessions.calendar.domain.session_state import SessionState
from sessions.calendar.domain.state import CALENDAR
from sessions.calendar.domain.terms import SubmittedArrivalAnswers
from sessions.calendar.models import Session
from sessions.calendar.selectors.sessions import session_get
from sessions.notes.domain.carried import check_all_touched
from sessions.notes.domain.content import check_lines_complete, note_content
from sessions.notes.domain.decisions import SignFacts, decide_sign, note_times
from sessions.notes.domain.findings import unknown_stretch_text, unknown_stretches
from sessions.notes.domain.line_permissions import UNKNOWN_STRETCH
from sessions.notes.domain.measured_lines import check_all_taken
from sessions.notes.domain.settings import NoteSettings
from sessions.notes.domain.state import NOTES
from sessions.notes.models import NoteDraft
from sessions.notes.selectors.co_signature import techniques_by_hand
from sessions.notes.selectors.line_permissions import permitted_lines
from sessions.notes.selectors.notes import re_entered
from sessions.notes.selectors.overlaps import note_overlap_warnings
from sessions.notes.services.drafts import leave_to_authors, lock_draft
from sessions.notes.services.kept_drafts import decrypt_draft

SLICES = (CALENDAR, NOTES)
DRAFT_MOVED_ON = "The draft has moved on to revision {version}. Read it again, then sign."


def note_settings() -> NoteSettings:
    """The practice's settings of notes."""
    return settings_group("notes", NoteSettings)[0]


def note_sign(
    uow: UnitOfWork, *, session_id: UUID, command: Mapping[str, Any], if_match: int
) -> SessionCommandResult:
    """Sign the draft at the revision ``if_match``; from then on the note never changes.

    ``command``: ``confirm_more_than_booked``, where more minutes than booked are meant;
    ``re_enters``, the note entered in error whose place it takes.

    Raises Rejected: 403 for another's session, 412 for a draft that has moved on, and
    whatever the decision refuses.
    """
    row = session_get(uow.actor, session_id)
    uow.lock(row.client_id)
    row.refresh_from_db()
    author = own_session(uow, row)
    paper = lock_draft(row.pk, author)
    if paper is None:
        raise Rejected("no_draft", "There is no draft of this note yet; save one first.")
    if not paper.closed:
        check_version(paper.revision, if_match, DRAFT_MOVED_ON)
    supervision = _locked_supervision(row)
    states = uow.states(row.client_id, (*CLIENT_FACTS, CALENDAR))
    session = states[CALENDAR].session(row.pk)
    assessor = SessionAssessor(row.client_id, client_facts(states), states[CALENDAR])
    said = _Said(
        confirmed=command.get("confirm_more_than_booked", False),
        re_enters=re_entered(uow.actor, command.get("re_enters")),
        supervision=supervision,
    )
    facts = _sign_facts(paper, session, assessor, said)
    outcome = uow.execute(
        row.client_id,
        SLICES,
        lambda found, ctx: decide_sign(found[CALENDAR], found[NOTES], row.pk, facts, ctx),
    )
    paper.closed = True
    paper.updated_at = uow.now
    paper.save()
    leave_to_authors(uow, paper)
    return SessionCommandResult(row.pk, row.client_id, outcome)


@dataclass(frozen=True)
class _Said:
    """What is said with a signature, and under whose supervision it is given."""

    confirmed: bool
    re_enters: UUID | None
    supervision: Supervision | None


def _sign_facts(
    paper: NoteDraft, session: SessionState, assessor: SessionAssessor, said: _Said
) -> SignFacts:
    draft = decrypt_draft(paper)
    if not paper.closed:
        check_all_taken(draft)
        check_lines_complete(draft.content())
        check_all_touched(draft.untouched())
    content = note_content(draft.content())
    times = note_times(session, content)
    timeline = FactsTimeline(paper.client_id)
    place = AssessmentPlace(session.practitioner_id, session.facility_id, session.local_date)
    case = assessor.case(
        place,
        session_id=session.id,
        answers=session.answers or SubmittedArrivalAnswers(),
        client=timeline.facts(times.ended_at),
    )
    permissions = case.snapshot(case.evaluated())
    versions = {
        "rules": permissions.rules,
        "record": permissions.record,
        "catalogue": permissions.catalogue,
    }
    permitted = permitted_lines(assessor, timeline, session, content.lines, times)
    supervision = said.supervision
    return SignFacts(
        note_id=paper.id,
        content=content,
        revision=draft.revision,
        permitted=permitted,
        settings=note_settings(),
        collisions=draft.collisions(),
        evaluated_with={**permissions.settings, **versions},
        permissions=permissions,
        confirmed=said.confirmed,
        re_enters=said.re_enters,
        co_signature=reasons_to_co_sign(case.facts, techniques_by_hand(content.lines)),
        warnings=(
            *note_overlap_warnings(paper.client_id, session, times),
            *(
                Reason(
                    code=UNKNOWN_STRETCH.code,
                    text=unknown_stretch_text(line),
                    source=UNKNOWN_STRETCH.source,
                )
                for line in unknown_stretches(content.lines, permitted)
            ),
        ),
        supervision=(supervision.pk, supervision.supervisor_id) if supervision else None,
    )


def _locked_supervision(row: Session) -> Supervision | None:
    """Who supervises the practitioner that day, held before anything is judged by it: it is
    neither deleted nor changed meanwhile."""
    found = supervisor_on(row.practitioner_id, row.facility_id, row.local_date)
    if found is None:
        return None
    locked = lock_rows(Supervision, frozenset({found.pk})).get(found.pk)
    unit.invalidate()
    return locked
