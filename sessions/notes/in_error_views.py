"""A note entered in error while its session stands; a draft that nobody can sign."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.db.models import QuerySet
from django.http.response import HttpResponseBase
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request

from practice.core.reasons import existing
from practice.http.base_views import ListView
from practice.http.commands import Command, CommandView
from practice.http.openapi import endpoint
from practice.http.reasons import shown_reasons
from practice.http.representations import Representation
from practice.http.roles import CLINICAL, PRACTITIONER_ONLY
from practice.work.unit_of_work import UnitOfWork
from sessions.booking.services.sessions import SessionCommandResult
from sessions.calendar.selectors.sessions import session_get, session_row
from sessions.notes.models import Note
from sessions.notes.rendering import (
    render_draft_save,
    render_note,
    serialize_own_draft,
    serialize_signed_note,
)
from sessions.notes.selectors.measured import measured_in
from sessions.notes.selectors.notes import drafts_of, named_notes, no_notes, notes_in_error
from sessions.notes.serializers.in_error import (
    DraftDiscardInputSerializer,
    NoteInErrorInputSerializer,
    NoteInErrorOutputSerializer,
    SignedNoteInErrorOutputSerializer,
)
from sessions.notes.serializers.notes import DraftOutputSerializer, NoteOutputSerializer
from sessions.notes.serializers.saves import WordsCarryInputSerializer
from sessions.notes.services.carried import words_carry
from sessions.notes.services.in_error import draft_discard, note_enter_in_error


def render_note_in_error(uow: UnitOfWork, done: SessionCommandResult) -> Representation:
    """What was entered in error, what still stands of the session, and the draft that begins."""
    session = session_row(done.session_id)
    latest = notes_in_error(session.pk).order_by("-entered_in_error_at", "-id").first()
    note = existing(latest, "note")
    draft = serialize_own_draft(uow.actor, session, drafts_of(session.pk))
    shown = {
        "note_id": note.pk,
        "session_id": session.pk,
        "session_status": session.status,
        "reason": note.entered_in_error,
        "draft": draft,
        "measured": measured_in(session.client_id, session.pk),
        "warnings": shown_reasons(uow.actor.role, done.warnings),
    }
    revision = draft["revision"] if draft else 0
    return Representation(NoteInErrorOutputSerializer(shown).data, revision)


@extend_schema_view(
    get=endpoint(
        "Read what was signed of a session and entered in error",
        response=SignedNoteInErrorOutputSerializer(many=True),
        errors=(404,),
        description=(
            "Each note as it was signed, with its addenda, why it was entered in error, when and "
            "by whom, and which note took its place. They stand in no other list; the client's "
            "history names them for as long as the record stands."
        ),
        tags=["notes"],
    )
)
class NoteInErrorView(CommandView, ListView):
    """A note written for the wrong client or session, whose session itself was right."""

    roles = {"GET": CLINICAL}
    order = ("signed_at", "id")

    post = Command(
        "Enter a note in error",
        tag="notes",
        roles=CLINICAL,
        input=NoteInErrorInputSerializer,
        output=NoteInErrorOutputSerializer,
        errors=(403, 404, 409),
        if_match="optional",
        execute=note_enter_in_error,
        render=render_note_in_error,
        description=(
            "A signed note that was written for another client or session; its session stands. By "
            "its author or the owner. The note leaves every list and what is counted, its visit "
            "is calculated without it, what it used goes back, stretches that it had started are "
            "taken back; the history keeps it. The session waits for a note again, which is "
            "written in the draft. Where the words belong, their author signs them anew with "
            "`re_enters`. What was measured in the session stands and is named in `measured`, "
            "unless `with_readings` says that it is in error too. A note that was entered in "
            "error before is 409 `nothing_to_correct` with the reason that stands. Where the "
            "session itself is wrong: POST …/entry-in-error."
        ),
    )

    def get_queryset(self) -> QuerySet[Note]:
        """Of one session that the caller may see."""
        if getattr(self, "swagger_fake_view", False):
            return no_notes()
        return notes_in_error(session_get(self.actor(self.request), self.kwargs["session_id"]).pk)

    def get(self, request: Request, session_id: UUID) -> HttpResponseBase:
        """With the reading of the record logged, whether there is one or none."""
        row = session_get(self.actor(request), session_id)
        self.log_read(request, row.client_id, "notes entered in error")
        return super().get(request)

    def serialize_rows(self, request: Request, rows: list[Any]) -> list[Any]:
        """As they were signed."""
        role = self.actor(request).role
        return [
            {
                **serialize_signed_note(role, row, order=False),
                "entered_in_error_at": row.entered_in_error_at,
                "entered_in_error_by": row.entered_in_error_by,
            }
            for row in named_notes(rows)
        ]


class WordsCarryView(CommandView):
    """The words of a note in error, taken over to where they belong."""

    post = Command(
        "Take over the words of a note entered in error",
        tag="notes",
        roles=PRACTITIONER_ONLY,
        input=WordsCarryInputSerializer,
        output=DraftOutputSerializer,
        errors=(404, 409),
        if_match="required",
        execute=words_carry,
        render=render_draft_save,
        description=(
            "By its author alone, into the draft of the session where they belong: texts, minutes "
            "and what was done, as one save, where the draft says nothing yet; it is the same "
            "hour, written at the wrong place. Each is `carried_untouched` in `findings` until a "
            "PATCH names it or a PUT changes it, and none is signed before; a line outside its "
            "permission here is marked and explained anew. Explanations, start and end, addenda "
            "and what was measured are not carried. If-Match names the draft's revision; sign "
            "with `re_enters`."
        ),
    )


class DraftDiscardView(CommandView):
    """A draft of a session that has no note."""

    post = Command(
        "Discard the draft of a session that has no note",
        tag="notes",
        roles=PRACTITIONER_ONLY,
        input=DraftDiscardInputSerializer,
        output=NoteOutputSerializer,
        errors=(404, 409),
        if_match="required",
        execute=draft_discard,
        render=render_note,
        description=(
            "What was written of a session that was called off, missed or entered in error and "
            "that nobody can sign; by its author alone. If-Match names the draft's revision. The "
            "words are gone; the history keeps that they were discarded, by whom and why. 409 "
            "`draft_open` while the session can have its note."
        ),
    )
