"""Drafts in their rows: encrypted with the client's key, bound to session and author."""

from __future__ import annotations

from collections.abc import Iterator

from practice.keys.keystore import UnreadableRecordError, keystore
from sessions.notes.domain.draft_forms import read_draft, write_draft
from sessions.notes.domain.drafts import Draft
from sessions.notes.models import NoteDraft


def decrypt_draft(paper: NoteDraft | None, *, unsent: bool = False) -> Draft:
    """The draft that a row holds; empty where there is none yet."""
    sealed = b"" if paper is None else bytes(paper.unsent if unsent else paper.sealed)
    if paper is None or not sealed:
        return Draft()
    key, bound = keystore.of(paper.client_id), _associated(paper, unsent=unsent)
    try:
        return read_draft(key.decrypt(sealed, bound))
    except UnreadableRecordError:
        # Drafts were bound to their session alone while a session had one; they still are
        # until they are saved again.
        return read_draft(key.decrypt(sealed, bound[: -len(paper.practitioner_id.bytes)]))


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
    sealed = key.encrypt(write_draft(draft), _associated(paper, unsent=unsent))
    if unsent:
        paper.unsent = sealed
    else:
        paper.sealed = sealed


def _associated(paper: NoteDraft, *, unsent: bool) -> bytes:
    kind = b"unsent" if unsent else b"draft"
    return kind + paper.session_id.bytes + paper.practitioner_id.bytes
