"""Saves of a note being written. Working documents: encrypted rows, no events."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID

from django.db import connection

from practice.core.reasons import Reason, Rejected
from practice.work.loading import load_events
from practice.work.unit_of_work import UnitOfWork
from sessions.booking.services.attendance import own_session
from sessions.calendar.domain.events import SessionBooked, SessionMoved
from sessions.calendar.domain.session_state import STATUS_TEXT, SessionStatus
from sessions.calendar.models import Session
from sessions.calendar.selectors.sessions import session_get
from sessions.notes.domain.addenda import unsent_fields
from sessions.notes.domain.content import note_fields
from sessions.notes.domain.draft_fields import DraftSave
from sessions.notes.domain.draft_forms import write_draft
from sessions.notes.domain.drafts import WRITABLE, Draft, DraftSaveResult, apply_draft_save
from sessions.notes.domain.findings import DraftFinding
from sessions.notes.domain.measured_lines import LineShown, without_taken
from sessions.notes.models import NoteDraft
from sessions.notes.selectors.findings import findings_of_draft
from sessions.notes.selectors.measured import measured_lines
from sessions.notes.selectors.notes import notes_standing
from sessions.notes.services.kept_drafts import decrypt_draft, encrypt_draft
from sessions.notes.services.measured_lines import take_measured


@dataclass(frozen=True)
class DraftSaveOutcome:
    """What came of a save. ``closed``: it came after the signature; ``unsent``: and what it says
    otherwise is kept beside it.

    ``findings``: what a signature would refuse, ask about or mark. ``measured``: what came of
    what was measured; ``warnings``: what to see to of that, by field.
    """

    saved: DraftSaveResult
    content: Mapping[str, Any]
    collisions: Mapping[str, list[Any]]
    closed: bool
    unsent: bool
    findings: Sequence[DraftFinding] = ()
    measured: Sequence[LineShown] = ()
    warnings: Mapping[str, Sequence[Reason]] = field(default_factory=dict)


def draft_save(
    uow: UnitOfWork,
    *,
    session_id: UUID,
    command: Mapping[str, Any],
    if_match: int,
    whole: bool = False,
) -> DraftSaveOutcome:
    """Take a save into the session's draft; a save after the signature is kept as unsent.

    ``command``: ``device``, ``app_start`` where the app names each start, the running number
    ``sequence`` and the note as in ``note_fields``, all of it where ``whole``; ``if_match`` is
    the revision that it was written upon.

    Repeated and late saves change nothing. Who had the session before it was moved to another
    practitioner writes on in a draft of their own. Raises Rejected: 403 for another's session,
    412 for a base revision that the draft never had.
    """
    save = DraftSave(
        device=device_of(command),
        sequence=command["sequence"],
        base=if_match,
        changes=note_fields(command),
        whole=whole,
    )
    return take_save(uow, draft_opened(uow, session_id).paper, save)


@dataclass(frozen=True)
class OpenedDraft:
    """A draft that its author may save into, under its locks. ``draft``: as it stands."""

    row: Session
    paper: NoteDraft
    draft: Draft


def draft_opened(uow: UnitOfWork, session_id: UUID) -> OpenedDraft:
    """The caller's draft of a session. Raises Rejected: 403 for another's session, 409 for one
    that has no note."""
    row = session_get(uow.actor, session_id)
    uow.lock(row.client_id)
    row.refresh_from_db()
    author = author_of(uow, row)
    if row.status not in WRITABLE:
        status = STATUS_TEXT[SessionStatus(row.status)]
        raise Rejected("session_status", f"The session is {status}: it has no note.")
    paper = _locked(uow, row, author)
    return OpenedDraft(row, paper, decrypt_draft(paper, unsent=bool(paper.unsent)))


def device_of(command: Mapping[str, Any]) -> str:
    """Under which name saves are put in order: each start of an app that names its starts."""
    start = command.get("app_start", "")
    return f"{command['device']}\n{start}" if start else str(command["device"])


def take_save(uow: UnitOfWork, paper: NoteDraft, save: DraftSave) -> DraftSaveOutcome:
    """The save in its draft; once that is closed, what differs from it lies beside it, unsent."""
    draft = decrypt_draft(paper, unsent=bool(paper.unsent))
    signed = decrypt_draft(paper).content()
    _check_base(draft, save)
    before = write_draft(draft)
    saved = apply_draft_save(draft, save)
    warnings = take_measured(uow, paper, draft, save.changes)
    content, collisions = draft.content(), draft.collisions()
    if write_draft(draft) != before or not paper.sealed:
        both = without_taken(signed, draft), without_taken(content, draft)
        late = paper.closed and bool(unsent_fields(*both, collisions))
        encrypt_draft(paper, draft, unsent=late)
        if not late:
            paper.unsent = b""
        paper.revision = paper.revision if paper.closed else draft.revision
        paper.updated_at = uow.now
        paper.save()
    found = findings_of_draft(paper.client_id, paper.session_id, draft, uow.now)
    lines = measured_lines(paper, draft)
    closed, unsent = paper.closed, bool(paper.unsent)
    return DraftSaveOutcome(saved, content, collisions, closed, unsent, found, lines, warnings)


def author_of(uow: UnitOfWork, row: Session) -> UUID:
    """The practitioner who asks, if the session is theirs or was before it was moved to another.
    Raises Rejected 403 otherwise."""
    asks = uow.actor.practitioner_id
    if asks is None or asks == row.practitioner_id:
        return own_session(uow, row)
    known = NoteDraft.objects.filter(session_id=row.pk, practitioner_id=asks).exists()
    return asks if known or asks in _held_before(row) else own_session(uow, row)


def _held_before(row: Session) -> set[UUID]:
    """Everyone whose session it ever was."""
    planned = load_events(row.client_id, types=("session.booked", "session.moved"))
    return {
        one.data.practitioner_id
        for one in planned
        if isinstance(one.data, SessionBooked | SessionMoved) and one.data.session_id == row.pk
    }


def lock_draft(session_id: UUID, practitioner_id: UUID | None) -> NoteDraft | None:
    """A practitioner's draft of a session under its lock, after the client's head."""
    return next(iter(_locked_rows(session_id, practitioner_id=practitioner_id)), None)


def _locked_rows(session_id: UUID, **more: Any) -> list[NoteDraft]:
    rows = NoteDraft.objects.filter(session_id=session_id, **more).order_by("id")
    if connection.features.has_select_for_update:
        rows = rows.select_for_update()
    return list(rows)


def leave_to_authors(uow: UnitOfWork, signed: NoteDraft) -> None:
    """What others had written of a session before it was moved, once its practitioner signs:
    words of theirs that were not sent, to be sent as an addendum or discarded."""
    for paper in _locked_rows(signed.session_id, closed=False):
        if paper.pk == signed.pk:
            continue
        draft = decrypt_draft(paper)
        encrypt_draft(paper, Draft())
        if draft.content() or draft.collisions():
            encrypt_draft(paper, draft, unsent=True)
        paper.closed, paper.updated_at = True, uow.now
        paper.save()


def _locked(uow: UnitOfWork, row: Session, author: UUID) -> NoteDraft:
    """The author's draft, a new one where they have none yet."""
    found = lock_draft(row.pk, author)
    if found is not None:
        return found
    return NoteDraft(
        id=uow.context.new_id(),
        client_id=row.client_id,
        session_id=row.pk,
        practitioner_id=author,
        updated_at=uow.now,
        # Of a note that somebody else has signed: what they write is beside it from the start.
        closed=notes_standing().filter(session_id=row.pk).exists(),
    )


def _check_base(draft: Draft, save: DraftSave) -> None:
    if save.base > draft.revision:
        raise Rejected(
            "unknown_revision",
            f"The draft has never been at revision {save.base}; it is at {draft.revision}."
            " Read it again.",
            status=412,
            extra={"current_version": draft.revision},
        )
