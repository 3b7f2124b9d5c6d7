"""Which signed notes rest on a supervision, and what another word on co-signing does to those of
its day."""

from __future__ import annotations

from uuid import UUID

from practice.core.reasons import Reason
from practice.people_and_places.hooks import SupervisedNote
from practice.people_and_places.models.practitioners import Supervision
from sessions.calendar.domain.session_state import TIME_HOLDING_STATUSES
from sessions.calendar.models import Session
from sessions.notes.domain.co_signature_texts import changed_text, to_be_signed_text
from sessions.notes.domain.co_signatures import CoSignatureStatus
from sessions.notes.models import Note


def notes_resting_on_supervision(supervision_id: UUID) -> list[Reason]:
    """The signed notes that name a supervision, without a name of a client."""
    found = Note.objects.filter(supervision_id=supervision_id).order_by("started_at", "id")
    return [
        Reason(
            code="note_rests_on_supervision",
            text=f"The signed note of session {note.session_id} on {note.local_date} rests on it.",
            source="practice policy",
        )
        for note in found
    ]


def notes_of_supervised_day(row: Supervision) -> list[SupervisedNote]:
    """What it does to the notes of a supervision's day that its supervisor co-signs, or no more:
    those to be signed first, then the signed ones of which something is to be said."""
    of_day = {
        "practitioner_id": row.supervised_id,
        "facility_id": row.facility_id,
        "local_date": row.day,
    }
    sessions = Session.objects.filter(**of_day, status__in=TIME_HOLDING_STATUSES)
    found = [
        SupervisedNote(
            session_id=one,
            signed=False,
            changes=True,
            text=to_be_signed_text(co_signs=row.co_signs),
        )
        for one in sessions.order_by("starts_at", "id").values_list("pk", flat=True)
    ]
    signed = Note.objects.filter(**of_day, entered_in_error="").order_by("started_at", "id")
    for note in signed:
        codes = [one["code"] for one in note.co_signature_reasons]
        status = CoSignatureStatus(note.co_signature)
        if text := changed_text(status, codes, co_signs=row.co_signs):
            found.append(
                SupervisedNote(session_id=note.session_id, signed=True, changes=False, text=text)
            )
    return found
