"""Co-signatures of notes: whether one will be waited for, and where those of some notes stand."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db.models import BooleanField, Exists, ExpressionWrapper, OuterRef, Q, QuerySet

from clients.permissions.domain.co_signature import reasons_to_co_sign
from clients.permissions.domain.inputs import PermissionFacts
from practice.clock import clock
from practice.core.decisions import Actor
from practice.core.reasons import Reason
from practice.core.terms import Credential, Mode, Role, Technique
from practice.people_and_places.models.practitioners import Supervision
from practice.people_and_places.selectors.kept import practitioner_names
from sessions.calendar.domain.session_state import SessionState
from sessions.notes.domain.co_signature_texts import awaited_text, nobody_can, status_text
from sessions.notes.domain.co_signatures import NAMED, OPEN, CoSignatureStatus
from sessions.notes.domain.co_signers import Naming, NoteWork
from sessions.notes.domain.events import NoteLine
from sessions.notes.models import Note
from sessions.notes.selectors.co_signers import CoSignerRows

WILL_WAIT = "awaits_co_signature"
IN_ERROR = "The note was entered in error: no co-signature is waited for."


def techniques_by_hand(lines: Iterable[NoteLine]) -> frozenset[Technique]:
    """What was done by hand."""
    return frozenset(one.technique for one in lines if one.mode is Mode.HANDS_ON)


def co_signature_warnings(
    facts: PermissionFacts, session: SessionState, by_hand: Iterable[Technique], now: datetime
) -> list[Reason]:
    """That the note of a session will wait for a co-signature once it is signed, of whom, and
    why. ``facts``: those that the session is evaluated by; ``by_hand``: what is, or may be, done
    by hand in it."""
    reasons = reasons_to_co_sign(facts, frozenset(by_hand))
    if not reasons:
        return []
    work = NoteWork(
        author_id=session.practitioner_id,
        credential=session.credential,
        facility_id=session.facility_id,
        day=session.local_date,
    )
    who = CoSignerRows([(work.author_id, work.day)]).of(work, now)
    text = f"Once signed, the note {awaited_text(who)} {reasons[0].text}"
    return [Reason(code=WILL_WAIT, text=text, source=reasons[0].source)]


def work_of(note: Note) -> NoteWork:
    """Whose a note is, and of where and when."""
    return NoteWork(
        author_id=note.practitioner_id,
        credential=Credential(note.credential),
        facility_id=note.facility_id,
        day=note.local_date,
        naming=_naming(note.co_signature_acts),
    )


def _naming(acts: Sequence[Mapping[str, Any]]) -> Naming | None:
    named = [one for one in acts if one["act"] == NAMED]
    if not named:
        return None
    return Naming(
        naming_id=UUID(named[-1]["naming_id"]),
        practitioner_id=UUID(named[-1]["practitioner_id"]),
        reason=named[-1]["words"],
    )


def with_co_signatures(rows: Sequence[Note]) -> Sequence[Note]:
    """The notes with where their co-signature stands, in words and by whom it could be given, as
    ``co_signature_state``; no statement more where none of them waits for one."""
    now, names = clock.now(), practitioner_names()
    waiting = [row for row in rows if row.co_signature in OPEN and not row.entered_in_error]
    found = CoSignerRows(
        ((row.practitioner_id, row.local_date) for row in waiting),
        {row.co_signer_id for row in waiting if row.co_signer_id is not None},
    )
    for row in rows:
        who = found.of(work_of(row), now) if row in waiting else ()
        status = CoSignatureStatus(row.co_signature)
        state: dict[str, Any] = {
            "status": status.value,
            "text": IN_ERROR
            if row.entered_in_error
            else status_text(status, row.co_signature_acts, who, names, row.zone),
            "waits_for": [one for one in who if not one.bars],
            "nobody": nobody_can(who) if row in waiting else [],
            "acts": [
                {**one, "practitioner_name": names.get(UUID(one["practitioner_id"]), "")}
                for one in row.co_signature_acts
            ],
        }
        setattr(row, "co_signature_state", state)  # noqa: B010  beside the columns
    return rows


def waiting_warnings(note: Note) -> list[Reason]:
    """That a signed note, named by ``with_co_signatures``, waits, and of whom."""
    if note.co_signature not in OPEN or note.entered_in_error:
        return []
    text = note.co_signature_state["text"]  # type: ignore[attr-defined]
    return [Reason(code=WILL_WAIT, text=text, source="practice policy")]


def awaiting_co_signature(actor: Actor, notes: QuerySet[Note]) -> QuerySet[Note]:
    """Of some notes those that wait for a co-signature, for an answer to a return, or for another
    look after an addendum: all for the owner, to a practitioner those that they signed and those
    of practitioners whom they supervised that day, or for which they were named
    (``to_co_sign``)."""
    waiting = notes.filter(co_signature__in=[one.value for one in OPEN])
    rows = waiting.annotate(to_co_sign=_to_co_sign(actor))
    if actor.role is Role.OWNER:
        return rows
    if actor.practitioner_id is None:
        return rows.none()
    return rows.filter(Q(practitioner_id=actor.practitioner_id) | Q(to_co_sign=True))


def _to_co_sign(actor: Actor) -> ExpressionWrapper[Q]:
    """Whether the caller supervised a note's author on the day of its session, or was named to
    co-sign it."""
    if actor.practitioner_id is None:
        return ExpressionWrapper(Q(pk__in=[]), output_field=BooleanField())
    supervised = Supervision.objects.filter(
        supervisor_id=actor.practitioner_id,
        supervised_id=OuterRef("practitioner_id"),
        day=OuterRef("local_date"),
    )
    named = Q(co_signer_id=actor.practitioner_id)
    return ExpressionWrapper(named | Q(Exists(supervised)), output_field=BooleanField())
