"""The note of a session: draft, signature, addenda; what was outside its permission."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import Any
from uuid import UUID

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from practice.http.base_views import ListView
from practice.http.commands import Command, CommandView
from practice.http.openapi import endpoint
from practice.http.roles import CLINICAL, PRACTITIONER_ONLY
from sessions.calendar.selectors.sessions import session_get
from sessions.notes.filters import OutsideNoteFilter
from sessions.notes.models import Note
from sessions.notes.rendering import (
    render_draft_save,
    render_note,
    render_signed_note,
    serialize_note,
    serialize_signed_note,
    version_of_note,
)
from sessions.notes.selectors.notes import (
    drafts_of,
    named_notes,
    notes_of,
    notes_outside,
    shown_of,
)
from sessions.notes.serializers.addenda import (
    AddendumInputSerializer,
    SignatureInputSerializer,
    UnsentDiscardInputSerializer,
)
from sessions.notes.serializers.notes import (
    DraftOutputSerializer,
    NoteOutputSerializer,
    SignedNoteOutputSerializer,
)
from sessions.notes.serializers.saves import DraftSaveInputSerializer, WholeDraftInputSerializer
from sessions.notes.services.addenda import addendum_add, unsent_discard
from sessions.notes.services.drafts import draft_save
from sessions.notes.services.notes import note_sign

SAVE_DRAFT = Command(
    "Save a draft",
    tag="notes",
    roles=PRACTITIONER_ONLY,
    input=DraftSaveInputSerializer,
    output=DraftOutputSerializer,
    errors=(404, 409),
    if_match="required",
    execute=draft_save,
    render=render_draft_save,
    description=(
        "If-Match names the revision it was written upon, 0 for the first. A stale save"
        " merges; where two devices wrote one field it is 412 with both values, both kept."
        " Saves of one device are ordered by the revision they were written upon, then by"
        " sequence: one that comes late is named in `overtaken`; a sequence used again with other"
        " words upon the same revision is 412 with both. An app that counts anew sends `app_start`:"
        " else a number that shows it keeps both values. `findings` names what a signature would"
        " refuse, ask about or mark. `readings` and `circumferences` are recorded with the save,"
        " once each; `measured_lines` says which were not and why."
    ),
)


class SessionNoteView(CommandView):
    """Draft or signed note. PUT sends the whole note, PATCH what changed."""

    roles = {"GET": CLINICAL}

    @endpoint(
        "Read a session's note",
        response=NoteOutputSerializer,
        errors=(404,),
        description=(
            "The draft with what a signature would refuse or ask about, or the signed note "
            "with its addenda and later marks. A draft is its author's until it is signed. Where "
            "the session was moved to another practitioner, each writes a draft of their own and "
            "reads the other's in `others`: unsigned, and never part of the signature. "
            "The ETag is the draft's revision, or the version of the signed note."
        ),
        tags=["notes"],
    )
    def get(self, request: Request, session_id: UUID) -> Response:
        """As it stands; its ETag is the draft's revision, or the signed note's version."""
        actor = self.actor(request)
        row = session_get(actor, session_id)
        self.log_read(request, row.client_id, "note")
        signed, papers = notes_of(session_id), drafts_of(session_id)
        version = version_of_note(actor, shown_of(signed, row), papers)
        return self.read_response(serialize_note(actor, row, signed, papers), version=version)

    put = replace(
        SAVE_DRAFT,
        summary="Save a draft as a whole",
        description=(
            f"{SAVE_DRAFT.description} What is left out is empty. What stands as it was read was"
            " not changed: a line that was brought in, or words that were carried over, stay marked"
            " until they are changed, or confirmed as they stand by a PATCH that names them."
        ),
        input=WholeDraftInputSerializer,
        execute=partial(draft_save, whole=True),
    )
    patch = SAVE_DRAFT


class NoteSignatureView(CommandView):
    """The practitioner of the session signs."""

    post = Command(
        "Sign a session's note",
        tag="notes",
        roles=PRACTITIONER_ONLY,
        input=SignatureInputSerializer,
        output=SignedNoteOutputSerializer,
        status=201,
        errors=(404, 409),
        if_match="required",
        idempotency="required",
        execute=note_sign,
        render=render_signed_note,
        description=(
            "If-Match names the draft's revision. A signed note never changes. The start is the"
            " opening within the booked time, else the arrival within it, else the booked start;"
            " the draft may set start and end. More minutes than lie between them are refused;"
            " more than booked need `confirm_more_than_booked` (409 `confirmation_needed`). Signing"
            " before the end and time shared with other sessions are named in `warnings`. Something"
            " measured that is not taken yet is 409 `measurements_not_taken`."
        ),
    )


class NoteAddendaView(CommandView):
    """Later words on a signed note."""

    post = Command(
        "Add to a signed note",
        tag="notes",
        roles=PRACTITIONER_ONLY,
        input=AddendumInputSerializer,
        output=SignedNoteOutputSerializer,
        status=201,
        errors=(404, 409, 412),
        execute=addendum_add,
        render=render_signed_note,
        description=(
            "Corrections are merged by part and bounded by start and end; `before` and `after` show"
            " both. What a device saved after the signature stays with its author until"
            " `send_unsent` names its revision, or it is discarded. 409 `note_not_signed` while the"
            " note is a draft."
        ),
    )


class UnsentWordsDiscardView(CommandView):
    """What a device saved after the signature, discarded by its author."""

    post = Command(
        "Discard words that came in after the signature",
        tag="notes",
        roles=PRACTITIONER_ONLY,
        input=UnsentDiscardInputSerializer,
        output=NoteOutputSerializer,
        errors=(404,),
        if_match="required",
        execute=unsent_discard,
        render=render_note,
        description="By their author alone. If-Match names the revision of the unsent words"
        " (`draft.revision`). The history keeps that they were discarded, and why.",
    )


@extend_schema_view(
    get=endpoint(
        "Work outside its permission",
        response=SignedNoteOutputSerializer(many=True),
        description=(
            "Signed notes with lines that went beyond what was permitted at their minute, "
            "explained by the practitioner or found when a fact was entered later. The "
            "owner reads all, a practitioner those that they signed."
        ),
        tags=["owner"],
    )
)
class NotesOutsidePermissionListView(ListView):
    """Signed notes with lines outside their permission, explained or found later."""

    roles = {"GET": CLINICAL}
    filterset_class = OutsideNoteFilter
    order = ("signed_at", "id")

    def get_queryset(self) -> QuerySet[Note]:
        """All of the practice, or a practitioner's own."""
        return notes_outside(self.actor(self.request))

    def serialize_rows(self, request: Request, rows: list[Any]) -> list[Any]:
        """With names; the record of everyone on the page is read."""
        self.log_reads(request, (row.client_id for row in rows), "notes")
        role = self.actor(request).role
        return [serialize_signed_note(role, row, order=False) for row in named_notes(rows)]
