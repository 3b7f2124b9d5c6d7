"""Saves of a note being written. Working documents: encrypted rows, no events."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

import msgspec
from django.db import connection

from practice.core.reasons import Rejected
from practice.keys.keystore import UnreadableRecordError, keystore
from practice.work.unit_of_work import UnitOfWork
from sessions.booking.services.attendance import own_session
from sessions.calendar.domain.session_state import STATUS_TEXT, SessionStatus
from sessions.calendar.models import Session
from sessions.calendar.selectors.sessions import session_get
from sessions.notes.domain.content import note_fields
from sessions.notes.domain.drafts import (
    WRITABLE,
    Draft,
    DraftSave,
    DraftSaveResult,
    apply_draft_save,
)
from sessions.notes.domain.findings import DraftFinding
from sessions.notes.models import NoteDraft
from sessions.notes.selectors.findings import findings_of_draft


@dataclass(frozen=True)
class DraftSaveOutcome:
    """What came of a save. ``unsent``: it came after the signature and is kept beside it.

    ``findings``: what a signature would refuse, ask about or mark.
    """

    saved: DraftSaveResult
    content: Mapping[str, Any]
    unsent: bool
    findings: Sequence[DraftFinding] = ()


def draft_save(
    uow: UnitOfWork,
    *,
    session_id: UUID,
    command: Mapping[str, Any],
    if_match: int,
    whole: bool = False,
) -> DraftSaveOutcome:
    """Take a save into the session's draft; a save after the signature is kept as unsent.

    ``command``: ``device``, its running number ``sequence`` and the note as in ``note_fields``,
    all of it where ``whole``; ``if_match`` is the revision that it was written upon.

    Repeated and late saves change nothing. Raises Rejected: 403 for another's session,
    412 for a base revision that the draft never had.
    """
    save = DraftSave(
        device=command["device"],
        sequence=command["sequence"],
        base=if_match,
        changes=note_fields(command),
        whole=whole,
    )
    row = session_get(uow.actor, session_id)
    own_session(uow, row)
    uow.lock(row.client_id)
    row.refresh_from_db()
    if row.status not in WRITABLE:
        status = STATUS_TEXT[SessionStatus(row.status)]
        raise Rejected("session_status", f"The session is {status}: it has no note.")
    paper = _locked(uow, row)
    signed = decrypt_draft(paper)
    draft = decrypt_draft(paper, unsent=True) if paper.unsent else decrypt_draft(paper)
    _check_base(draft, save)
    before = msgspec.json.encode(draft)
    saved = apply_draft_save(draft, save)
    if msgspec.json.encode(draft) != before or not paper.sealed:
        late = paper.closed and (bool(paper.unsent) or draft.content() != signed.content())
        encrypt_draft(paper, draft, unsent=late)
        paper.revision = paper.revision if paper.closed else draft.revision
        paper.updated_at = uow.now
        paper.save()
    content = draft.content()
    found = findings_of_draft(row.client_id, row.pk, content, uow.now)
    return DraftSaveOutcome(saved, content, paper.closed, found)


def lock_draft(session_id: UUID) -> NoteDraft | None:
    """The session's draft under its lock, after the client's head."""
    rows = NoteDraft.objects.filter(session_id=session_id)
    if connection.features.has_select_for_update:
        rows = rows.select_for_update()
    return rows.first()


def decrypt_draft(paper: NoteDraft | None, *, unsent: bool = False) -> Draft:
    """The draft that a row holds; empty where there is none yet."""
    sealed = b"" if paper is None else bytes(paper.unsent if unsent else paper.sealed)
    if paper is None or not sealed:
        return Draft()
    plain = keystore.of(paper.client_id).decrypt(sealed, _associated(paper, unsent=unsent))
    return msgspec.json.decode(plain, type=Draft)


def draft_faults() -> Iterator[str]:
    """Drafts that are not as they were saved, as sentences."""
    for paper in NoteDraft.objects.iterator():
        for unsent in (False, True):
            try:
                decrypt_draft(paper, unsent=unsent)
            except UnreadableRecordError as error:
                yield f"the draft of the session {paper.session_id}: {error}"


def encrypt_draft(paper: NoteDraft, draft: Draft, *, unsent: bool = False) -> None:
    """Put a draft into its row, encrypted with the client's key."""
    key = keystore.of(paper.client_id)
    sealed = key.encrypt(msgspec.json.encode(draft), _associated(paper, unsent=unsent))
    if unsent:
        paper.unsent = sealed
    else:
        paper.sealed = sealed


def _locked(uow: UnitOfWork, row: Session) -> NoteDraft:
    found = lock_draft(row.pk)
    if found is not None:
        return found
    return NoteDraft(
        id=uow.context.new_id(),
        client_id=row.client_id,
        session_id=row.pk,
        practitioner_id=row.practitioner_id,
        updated_at=uow.now,
    )


def _associated(paper: NoteDraft, *, unsent: bool) -> bytes:
    return (b"unsent" if unsent else b"draft") + paper.session_id.bytes


def _check_base(draft: Draft, save: DraftSave) -> None:
    if save.base > draft.revision:
        raise Rejected(
            "unknown_revision",
            f"The draft has never been at revision {save.base}; it is at {draft.revision}."
            " Read it again.",
            status=412,
            extra={"current_version": draft.revision},
        )
