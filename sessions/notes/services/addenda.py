"""Adding to a signed note; sending or discarding what came in after the signature."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from clients.clinical.domain.facts import CLIENT_FACTS, client_facts
from clients.permissions.domain.co_signature import reasons_to_co_sign
from practice.core.reasons import Reason, Rejected, check_version, not_found
from practice.work.unit_of_work import UnitOfWork
from sessions.assessment.selectors.assessor import SessionAssessor
from sessions.assessment.selectors.facts_timeline import FactsTimeline
from sessions.assessment.selectors.places import AssessmentPlace
from sessions.booking.services.attendance import own_session
from sessions.booking.services.sessions import SessionCommandResult
from sessions.calendar.domain.state import CALENDAR
from sessions.calendar.selectors.sessions import session_get
from sessions.notes.domain.addenda import (
    UnsentWords,
    decide_addendum,
    decide_discard_unsent,
    unsent_fields,
)
from sessions.notes.domain.carried import check_all_touched
from sessions.notes.domain.co_signatures import CO_SIGNATURES
from sessions.notes.domain.co_signers import required_later
from sessions.notes.domain.commands import AddToNote
from sessions.notes.domain.content import check_lines_complete, note_content
from sessions.notes.domain.measured_lines import without_taken
from sessions.notes.domain.state import NOTES
from sessions.notes.models import NoteDraft
from sessions.notes.selectors.co_signature import techniques_by_hand
from sessions.notes.selectors.line_permissions import permitted_lines
from sessions.notes.selectors.notes import drafts_of
from sessions.notes.services.drafts import author_of, lock_draft
from sessions.notes.services.kept_drafts import decrypt_draft, encrypt_draft
from sessions.notes.services.notes import note_settings

MOVED_ON = "What was saved after the signature is at revision {version} now. Read it again."


def addendum_add(uow: UnitOfWork, *, session_id: UUID, command: AddToNote) -> SessionCommandResult:
    """Add to a signed note. What came in after the signature stays with its author unless the
    addendum sends it: then its words are in the addendum. Who had the session before it was
    moved sends what they had written of it; their minutes are words, no correction.

    Raises Rejected: 403 for another's session, 404 for no note or nothing unsent, 409 for a
    note that is a draft, 412 for unsent words that have moved on, and what the decision refuses.
    """
    row = session_get(uow.actor, session_id)
    uow.lock(row.client_id)
    row.refresh_from_db()
    sends = command.send_unsent is not None
    practitioner_id = author_of(uow, row) if sends else own_session(uow, row)
    paper = lock_draft(row.pk, practitioner_id)
    _check_signed(paper)
    unsent = None
    if command.send_unsent is not None:
        unsent = _unsent_words(
            uow,
            _own_unsent(row.pk, paper, command.send_unsent),
            counts=practitioner_id == row.practitioner_id,
        )
    settings = note_settings()
    late = _stands_on_supervision(uow, row.client_id, unsent, row.pk)
    outcome = uow.execute(
        row.client_id,
        (NOTES, CO_SIGNATURES),
        lambda states, ctx: [
            *decide_addendum(
                states[NOTES], row.pk, practitioner_id, command, settings, ctx, unsent
            ),
            *required_later(states[NOTES], states[CO_SIGNATURES], row.pk, late),
        ],
    )
    if unsent is not None and paper is not None:
        _settle_unsent(uow, paper)
    return SessionCommandResult(row.pk, row.client_id, outcome)


def unsent_discard(
    uow: UnitOfWork, *, session_id: UUID, command: Mapping[str, Any], if_match: int
) -> SessionCommandResult:
    """Discard what came in after the signature, at the revision that was read; its author only.

    ``command``: ``reason``.
    """
    row = session_get(uow.actor, session_id)
    uow.lock(row.client_id)
    paper = _own_unsent(row.pk, lock_draft(row.pk, uow.actor.practitioner_id), if_match)
    fields, author, reason = len(_late_fields(paper)), paper.practitioner_id, command["reason"]
    outcome = uow.execute(
        row.client_id,
        (NOTES,),
        lambda states, _: decide_discard_unsent(states[NOTES], row.pk, author, fields, reason),
    )
    _settle_unsent(uow, paper)
    return SessionCommandResult(row.pk, row.client_id, outcome)


def _check_signed(paper: NoteDraft | None) -> None:
    if paper is None or paper.closed:
        return
    revision = paper.revision
    raise Rejected(
        "note_not_signed",
        f"The note is a draft (revision {revision}): what is missing goes into it (PATCH .../note)."
        f" Sign it with POST .../note/signature and If-Match {revision}; an addendum comes after.",
        extra={"current_version": revision},
    )


def _own_unsent(session_id: UUID, paper: NoteDraft | None, revision: int) -> NoteDraft:
    """The row with the caller's unsent words, at the revision that was read. Raises Rejected:
    403 where all that waits is others', 404 where nothing does."""
    if paper is None or not paper.unsent:
        if any(one.unsent for one in drafts_of(session_id)):
            raise Rejected(
                "not_your_words", "Only their author sends or discards them.", status=403
            )
        raise not_found("word that came in after the signature")
    check_version(decrypt_draft(paper, unsent=True).revision, revision, MOVED_ON)
    return paper


def _late_fields(paper: NoteDraft) -> dict[str, Any]:
    signed, saved = decrypt_draft(paper), decrypt_draft(paper, unsent=True)
    return unsent_fields(
        without_taken(signed.content(), saved),
        without_taken(saved.content(), saved),
        saved.collisions(),
    )


def _unsent_words(uow: UnitOfWork, paper: NoteDraft, *, counts: bool) -> UnsentWords:
    draft, fields = decrypt_draft(paper, unsent=True), _late_fields(paper)
    check_lines_complete(fields)
    check_all_touched(draft.untouched())
    words = UnsentWords(fields=fields)
    states = uow.states(paper.client_id, (*CLIENT_FACTS, CALENDAR, NOTES))
    return UnsentWords(
        fields=fields,
        counts=counts,
        explanations=note_content(draft.content()).explanations,
        collisions=draft.collisions(),
        permitted=permitted_lines(
            SessionAssessor(paper.client_id, client_facts(states), states[CALENDAR]),
            FactsTimeline(paper.client_id),
            states[CALENDAR].session(paper.session_id),
            words.content.lines,
            states[NOTES].of(paper.session_id).count.times,
        ),
    )


def _stands_on_supervision(
    uow: UnitOfWork, client_id: UUID, unsent: UnsentWords | None, session_id: UUID
) -> tuple[Reason, ...]:
    """Why work by hand that is sent with an addendum wants a co-signature; none: it does not."""
    by_hand = techniques_by_hand(unsent.content.lines if unsent else ())
    if not by_hand:
        return ()
    states = uow.states(client_id, (*CLIENT_FACTS, CALENDAR))
    session = states[CALENDAR].session(session_id)
    assessor = SessionAssessor(client_id, client_facts(states), states[CALENDAR])
    place = AssessmentPlace(session.practitioner_id, session.facility_id, session.local_date)
    return reasons_to_co_sign(assessor.case(place).facts, by_hand)


def _settle_unsent(uow: UnitOfWork, paper: NoteDraft) -> None:
    """The draft reads as it was signed again, and knows every save that it has met."""
    signed, draft = decrypt_draft(paper).content(), decrypt_draft(paper, unsent=True)
    draft.put_back({name: signed.get(name) for name in _late_fields(paper)})
    encrypt_draft(paper, draft)
    paper.unsent = b""
    paper.updated_at = uow.now
    paper.save()
