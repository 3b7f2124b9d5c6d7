"""Signing a note and adding to a signed one. One function each."""

from __future__ import annotations

from uuid import UUID

from clients.domain.facts import FACTS
from practice.domain.reasons import Rejected, check_version
from practice.eventlog.runner import Work
from practice.selectors import settings_group
from sessions.domain.calendar.events import Answers
from sessions.domain.calendar.state import CALENDAR, Booked
from sessions.domain.judging.answers import Case
from sessions.domain.notes.content import content_of
from sessions.domain.notes.events import PartMinutes
from sessions.domain.notes.signing import (
    NoteSettings,
    SignFacts,
    decide_addendum,
    decide_sign,
    started_at,
)
from sessions.domain.notes.state import NOTES
from sessions.models import NoteDraft
from sessions.selectors.calendar import session_get
from sessions.services.attendance import own_session
from sessions.services.calendar import Done
from sessions.services.drafts import lock_draft, opened
from sessions.services.judging import Judge, Place
from sessions.services.permitted import permitted_lines
from sessions.services.timeline import Timeline

SLICES = (CALENDAR, NOTES)
DRAFT_MOVED_ON = "The draft has moved on to revision {version}. Read it again, then sign."


def note_settings() -> NoteSettings:
    """The practice's settings of notes."""
    return settings_group("notes", NoteSettings)[0]


def note_sign(work: Work, session_id: UUID, *, revision: int) -> Done:
    """Sign the draft at a revision; from then on the note never changes.

    Raises Rejected: 403 for another's session, 412 for a draft that has moved on, and
    whatever the decision refuses.
    """
    row = session_get(work.actor, session_id)
    own_session(work, row)
    work.lock(row.client_id)
    paper = lock_draft(row.pk)
    if paper is None:
        raise Rejected("no_draft", "There is no draft of this note yet; save one first.")
    if not paper.closed:
        check_version(paper.revision, revision, DRAFT_MOVED_ON)
    states = work.states(row.client_id, (FACTS, CALENDAR))
    session = states[CALENDAR].session(row.pk)
    facts = _sign_facts(paper, session, Judge(row.client_id, states[FACTS]))
    outcome = work.execute(
        row.client_id,
        SLICES,
        lambda found, ctx: decide_sign(found[CALENDAR], found[NOTES], row.pk, facts, ctx),
    )
    paper.closed = True
    paper.updated_at = work.now
    paper.save()
    return Done(row.pk, row.client_id, outcome)


def addendum_add(
    work: Work, session_id: UUID, text: str, corrected: tuple[PartMinutes, ...] | None
) -> Done:
    """Add to a signed note; what was kept as unsent for it is sent or dropped with it."""
    row = session_get(work.actor, session_id)
    practitioner_id = own_session(work, row)
    settings = note_settings()
    outcome = work.execute(
        row.client_id,
        (NOTES,),
        lambda states, ctx: decide_addendum(
            states[NOTES], row.pk, practitioner_id, text, corrected, settings, ctx
        ),
    )
    paper = lock_draft(row.pk)
    if paper is not None and paper.unsent:
        paper.unsent = b""
        paper.save()
    return Done(row.pk, row.client_id, outcome)


def _sign_facts(paper: NoteDraft, session: Booked, judge: Judge) -> SignFacts:
    draft = opened(paper)
    content = content_of(draft.content())
    timeline = Timeline(paper.client_id)
    case = _case_at_end(judge, timeline, session)
    judgement = case.kept(case.judged())
    versions = {
        "rules": judgement.rules,
        "record": judgement.record,
        "catalogue": judgement.catalogue,
    }
    return SignFacts(
        note_id=paper.id,
        content=content,
        revision=draft.revision,
        permitted=permitted_lines(judge, timeline, session, content.lines),
        settings=note_settings(),
        collisions=draft.collisions(),
        judged_with={**judgement.settings, **versions},
        judgement=judgement,
    )


def _case_at_end(judge: Judge, timeline: Timeline, session: Booked) -> Case:
    """The session as it stood when it ended, before any stop."""
    begin = started_at(session)
    return judge.case(
        Place(session.practitioner_id, session.facility_id, session.local_date),
        session_id=session.id,
        answers=session.answers or Answers(),
        client=timeline.facts(max(begin + session.length, session.ends_at)),
    )
