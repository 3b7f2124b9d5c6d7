"""Saves of a note being written. Working papers: sealed rows, no events."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID

import msgspec
from django.db import connection

from practice.domain.reasons import Rejected
from practice.eventlog.runner import Work
from practice.keys.keystore import keystore
from sessions.domain.calendar.state import Status
from sessions.domain.notes.drafts import Draft, Save, Saved, apply
from sessions.models import NoteDraft, Session
from sessions.selectors.calendar import session_get
from sessions.services.attendance import own_session

WRITABLE = (Status.BOOKED, Status.ARRIVED, Status.COMPLETED)


@dataclass(frozen=True)
class DraftAnswer:
    """What came of a save. ``unsent``: it came after the signature and is kept beside it."""

    saved: Saved
    content: Mapping[str, Any]
    unsent: bool


def draft_save(work: Work, session_id: UUID, save: Save) -> DraftAnswer:
    """Take a save into the session's draft; a save after the signature is kept as unsent.

    Repeated and late saves change nothing. Raises Rejected: 403 for another's session,
    412 for a base revision that the draft never had.
    """
    row = session_get(work.actor, session_id)
    own_session(work, row)
    work.lock(row.client_id)
    row.refresh_from_db()
    if row.status not in WRITABLE:
        raise Rejected("session_status", f"The session is {row.status}: it has no note.")
    paper = _locked(work, row)
    draft = opened(paper)
    if paper.closed:
        draft = opened(paper, unsent=True) if paper.unsent else draft
    _check_base(draft, save)
    before = draft.revision
    saved = apply(draft, save)
    if draft.revision != before or not paper.sealed:
        seal(paper, draft, unsent=paper.closed)
        paper.revision = paper.revision if paper.closed else draft.revision
        paper.updated_at = work.now
        paper.save()
    return DraftAnswer(saved, draft.content(), paper.closed)


def lock_draft(session_id: UUID) -> NoteDraft | None:
    """The session's draft under its lock, after the client's head."""
    rows = NoteDraft.objects.filter(session_id=session_id)
    if connection.features.has_select_for_update:
        rows = rows.select_for_update()
    return rows.first()


def opened(paper: NoteDraft | None, *, unsent: bool = False) -> Draft:
    """The draft that a row holds; empty where there is none yet."""
    sealed = b"" if paper is None else bytes(paper.unsent if unsent else paper.sealed)
    if paper is None or not sealed:
        return Draft()
    plain = keystore.of(paper.client_id).open(sealed, _associated(paper, unsent=unsent))
    return msgspec.json.decode(plain, type=Draft)


def seal(paper: NoteDraft, draft: Draft, *, unsent: bool = False) -> None:
    """Put a draft into its row, sealed with the client's key."""
    key = keystore.of(paper.client_id)
    sealed = key.seal(msgspec.json.encode(draft), _associated(paper, unsent=unsent))
    if unsent:
        paper.unsent = sealed
    else:
        paper.sealed = sealed


def _locked(work: Work, row: Session) -> NoteDraft:
    found = lock_draft(row.pk)
    if found is not None:
        return found
    return NoteDraft(
        id=work.context.new_id(),
        client_id=row.client_id,
        session_id=row.pk,
        practitioner_id=row.practitioner_id,
        updated_at=work.now,
    )


def _associated(paper: NoteDraft, *, unsent: bool) -> bytes:
    return (b"unsent" if unsent else b"draft") + paper.session_id.bytes


def _check_base(draft: Draft, save: Save) -> None:
    if save.base > draft.revision:
        raise Rejected(
            "unknown_revision",
            f"The draft has never been at revision {save.base}; it is at {draft.revision}."
            " Read it again.",
            status=412,
            extra={"current_version": draft.revision},
        )
