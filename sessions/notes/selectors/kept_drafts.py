"""Drafts of notes whose session was changed by somebody: said, since they are kept."""

from __future__ import annotations

from uuid import UUID

from practice.core.reasons import Reason
from practice.people_and_places.selectors.practitioners import practitioner_name
from sessions.calendar.domain.session_state import STATUS_TEXT, SessionStatus
from sessions.calendar.models import Session
from sessions.notes.domain.drafts import WRITABLE
from sessions.notes.models import NoteDraft
from sessions.notes.selectors.notes import drafts_of

SOURCE = "practice policy: what somebody wrote is not left behind unsaid"


def kept_draft_warnings(session_id: UUID) -> list[Reason]:
    """Whose drafts a session has, at which revision, and what can become of each now."""
    found = [one for one in drafts_of(session_id) if one.unsent or not one.closed]
    session = Session.objects.get(pk=session_id) if found else None
    return [_warning(paper, session) for paper in found if session is not None]


def _warning(paper: NoteDraft, session: Session) -> Reason:
    code, todo = _standing(paper, session)
    author = practitioner_name(paper.practitioner_id)
    what = "Words that came in after the signature" if paper.closed else "A draft of the note"
    text = f"{what} by {author} (revision {paper.revision}) {todo}"
    return Reason(code=code, text=text, source=SOURCE)


def _standing(paper: NoteDraft, session: Session) -> tuple[str, str]:
    status = STATUS_TEXT[SessionStatus(session.status)]
    if session.status not in WRITABLE:
        kept = f"kept for its author (GET /sessions/{session.pk}/note); tell them"
        todo = f"cannot be signed any more: the session is {status}. What was written is {kept}."
        return "draft_not_signable", todo
    if session.practitioner_id != paper.practitioner_id:
        todo = (
            "stays with its author, unsigned: the session is another practitioner's now, who"
            " writes a note of their own. Tell both of them."
        )
        return "draft_of_another", todo
    todo = f"stays with the session, which is {status} now: see whether what it says still holds."
    return "draft_open", todo
