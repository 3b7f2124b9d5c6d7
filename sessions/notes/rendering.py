"""How drafts and signed notes are shown, and how a collision is told."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from practice.clock import clock
from practice.core.decisions import Actor
from practice.core.reasons import Reason, existing
from practice.core.terms import Role
from practice.http.problem_documents import CONTENT_TYPE, problem
from practice.http.reasons import serialize_stored_reasons, shown_reasons
from practice.http.representations import Representation
from practice.people_and_places.selectors.practitioners import practitioner_name
from practice.work.unit_of_work import UnitOfWork
from sessions.booking.services.sessions import SessionCommandResult
from sessions.calendar.models import Session
from sessions.calendar.selectors.sessions import session_row
from sessions.notes.domain.content import readable
from sessions.notes.domain.drafts import Draft
from sessions.notes.domain.findings import DraftFinding
from sessions.notes.models import Note, NoteDraft
from sessions.notes.selectors.co_signature import waiting_warnings
from sessions.notes.selectors.findings import findings_of_draft
from sessions.notes.selectors.measured import measured_in, measured_lines
from sessions.notes.selectors.notes import (
    drafts_of,
    named_notes,
    notes_of,
    notes_standing,
    re_entered_as,
    shown_of,
)
from sessions.notes.selectors.order import order_of_note
from sessions.notes.selectors.unsent import unsent_warnings
from sessions.notes.serializers.measured import serialize_lines
from sessions.notes.serializers.notes import (
    DraftOutputSerializer,
    NoteOutputSerializer,
    SignedNoteOutputSerializer,
)
from sessions.notes.services.drafts import DraftSaveOutcome
from sessions.notes.services.kept_drafts import decrypt_draft

_COMPUTED_FIELDS = {"outside", "warnings", "re_entered_as", "co_signature"}
_COLUMN_FIELDS = [
    name for name in SignedNoteOutputSerializer().get_fields() if name not in _COMPUTED_FIELDS
]


def serialize_signed_note(
    role: Role, note: Note, *, order: bool = True, told: Sequence[Reason] = ()
) -> Any:
    """A signed note as one role may read it; lists leave the warnings on its order out.

    ``told``: what the command that is answered warns of.
    """
    if not hasattr(note, "client_name"):
        named_notes([note])
    outside = [
        {**one, "reasons": serialize_stored_reasons(role, one["reasons"])} for one in note.outside
    ]
    plain = {name: getattr(note, name) for name in _COLUMN_FIELDS}
    plain["re_entered_as"] = re_entered_as(note)
    plain["co_signature"] = {
        **note.co_signature_state,  # type: ignore[attr-defined]
        "reasons": serialize_stored_reasons(role, note.co_signature_reasons),
    }
    warnings = [
        *serialize_stored_reasons(role, note.warnings),
        *shown_reasons(role, (*told, *(order_of_note(note) if order else ()))),
    ]
    return SignedNoteOutputSerializer({**plain, "outside": outside, "warnings": warnings}).data


def render_signed_note(uow: UnitOfWork, done: SessionCommandResult) -> Representation:
    """The signed note of a session, with what still waits for its author."""
    standing = notes_standing().filter(session_id=done.session_id).first()
    note = existing(standing, "signed note")
    named_notes([note])
    told = [
        *unsent_warnings(done.session_id, uow.actor.practitioner_id),
        *waiting_warnings(note),
    ]
    return Representation(serialize_signed_note(uow.actor.role, note, told=told), note.version)


def render_note(uow: UnitOfWork, done: SessionCommandResult) -> Representation:
    """Draft and signed note of a session."""
    session, papers = session_row(done.session_id), drafts_of(done.session_id)
    signed = notes_of(session.pk)
    shown = serialize_note(uow.actor, session, signed, papers)
    return Representation(shown, version_of_note(uow.actor, shown_of(signed, session), papers))


def version_of_note(actor: Actor, note: Note | None, papers: Sequence[NoteDraft]) -> int:
    """What If-Match is compared with: the signed note's version, else the caller's draft's."""
    own = own_draft(actor, papers)
    return note.version if note else own.revision if own else 0


def render_draft_save(_uow: UnitOfWork, done: DraftSaveOutcome) -> Representation:
    """The draft after a save; where two devices wrote one field, the problem (412)."""
    revision = done.saved.revision
    if not done.saved.collisions:
        return Representation(serialize_saved_draft(done), revision)
    return Representation(
        collision_problem(done), revision, status=412, headers={"Content-Type": CONTENT_TYPE}
    )


def own_draft(actor: Actor, papers: Iterable[NoteDraft]) -> NoteDraft | None:
    """The caller's own among the drafts of a session."""
    return next((one for one in papers if one.practitioner_id == actor.practitioner_id), None)


def serialize_note(
    actor: Actor, session: Session, signed: Sequence[Note], papers: Sequence[NoteDraft]
) -> Any:
    """Draft and signed note of a session. A draft is shown to its author, and to the
    practitioner of the session what others wrote of it before it was moved to them.

    ``signed``: every note that was ever signed of it."""
    note, own = shown_of(signed, session), own_draft(actor, papers)
    others = papers if actor.practitioner_id == session.practitioner_id else ()
    draft = serialize_own_draft(actor, session, papers)
    state = "signed" if note else "draft" if own else "none"
    return NoteOutputSerializer(
        {
            "state": state,
            "draft": draft,
            "others": [
                _serialize_other(one)
                for one in others
                if one is not own and (one.unsent or not one.closed)
            ],
            "measured": measured_in(session.client_id, session.pk),
            "signed": serialize_signed_note(actor.role, note) if note else None,
            "in_error": [_gone(one) for one in signed if one.entered_in_error and one is not note],
        }
    ).data


def serialize_own_draft(
    actor: Actor, session: Session, papers: Sequence[NoteDraft]
) -> dict[str, Any] | None:
    """The caller's own draft, or their words after the signature, with what is found in it."""
    own = own_draft(actor, papers)
    if own is None or (own.closed and not own.unsent):
        return None
    found = decrypt_draft(own, unsent=own.closed)
    findings = findings_of_draft(own.client_id, session.pk, found, clock.now())
    lines = serialize_lines(measured_lines(own, found))
    shown = _serialize_draft(found, _draft_state(own, session), findings)
    return {**shown, "measured_lines": lines}


def _gone(note: Note) -> Note:
    note.re_entered_as = re_entered_as(note)  # type: ignore[attr-defined]  # beside the columns
    return note


def _draft_state(paper: NoteDraft, session: Session) -> str:
    if paper.closed:
        return "unsent_addendum"
    return "draft" if paper.practitioner_id == session.practitioner_id else "left_with_author"


def _serialize_other(paper: NoteDraft) -> dict[str, Any]:
    """What another practitioner wrote of the session: read, never signed by who reads it."""
    found = decrypt_draft(paper, unsent=paper.closed)
    return {
        "practitioner_id": paper.practitioner_id,
        "practitioner_name": practitioner_name(paper.practitioner_id),
        "revision": found.revision,
        "updated_at": paper.updated_at,
        "note": readable(found.content()),
        "collisions": found.collisions(),
    }


def serialize_saved_draft(done: DraftSaveOutcome) -> Any:
    """The draft after a save, with what came of it."""
    saved = done.saved
    return DraftOutputSerializer(
        {
            "state": _saved_state(done),
            "revision": saved.revision,
            "note": readable(done.content),
            "collisions": dict(done.collisions),
            "written": list(saved.written),
            "merged": list(saved.merged),
            "repeated": list(saved.repeated),
            "overtaken": list(saved.overtaken),
            "findings": serialize_findings(done.findings),
            "measured_lines": serialize_lines(done.measured, done.warnings),
        }
    ).data


def _saved_state(done: DraftSaveOutcome) -> str:
    if not done.closed:
        return "draft"
    return "unsent_addendum" if done.unsent else "signed"


def collision_problem(done: DraftSaveOutcome) -> dict[str, Any]:
    """412 with both values of each field; both are kept in the draft."""
    saved = done.saved
    names = ", ".join(one.field for one in saved.collisions)
    return problem(
        412,
        "colliding_save",
        f"Another device changed {names} since your revision. Both values are kept: choose"
        f" one and save it upon revision {saved.revision}. Everything else was saved.",
        extra={
            "current_version": saved.revision,
            "collisions": open_collisions(done),
            "written": list(saved.written),
            "merged": list(saved.merged),
            "overtaken": list(saved.overtaken),
            "note": readable(done.content),
            "findings": serialize_findings(done.findings),
            "measured_lines": serialize_lines(done.measured, done.warnings),
        },
    )


def open_collisions(done: DraftSaveOutcome) -> list[dict[str, Any]]:
    """Every collision of the draft, those of the save first; ``yours`` is null in the others."""
    mine = [
        {"field": one.field, "current": one.current, "yours": one.yours}
        for one in done.saved.collisions
    ]
    named = {one.field for one in done.saved.collisions}
    others = [
        {"field": name, "current": values[0], "yours": None}
        for name, values in done.collisions.items()
        if name not in named
    ]
    return [{**one, "values": list(done.collisions[one["field"]])} for one in [*mine, *others]]


def serialize_findings(findings: Iterable[DraftFinding]) -> list[dict[str, Any]]:
    """What a draft would be held up for; drafts are read by their author alone."""
    return [
        {
            "field": one.field,
            "code": one.code,
            "text": one.text,
            "allowed": one.allowed,
            "reasons": shown_reasons(Role.PRACTITIONER, one.reasons),
        }
        for one in findings
    ]


def _serialize_draft(draft: Draft, state: str, findings: Iterable[DraftFinding]) -> dict[str, Any]:
    return {
        "state": state,
        "revision": draft.revision,
        "note": readable(draft.content()),
        "collisions": draft.collisions(),
        "written": [],
        "merged": [],
        "repeated": [],
        "overtaken": [],
        "findings": serialize_findings(findings),
    }
