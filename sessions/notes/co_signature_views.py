"""Co-signatures: given, sent back, waited for."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request

from practice.clock import clock
from practice.http.base_views import ListView
from practice.http.commands import Command, CommandView
from practice.http.openapi import endpoint
from practice.http.roles import CLINICAL, PRACTITIONER_ONLY
from sessions.notes.filters import AwaitingCoSignatureFilter
from sessions.notes.models import Note
from sessions.notes.rendering import render_signed_note
from sessions.notes.selectors.co_signature import awaiting_co_signature
from sessions.notes.selectors.lists import with_ages
from sessions.notes.selectors.notes import named_notes, notes_visible
from sessions.notes.serializers.co_signature import (
    AwaitingCoSignatureOutputSerializer,
    CoSignatureInputSerializer,
    NoteReturnInputSerializer,
)
from sessions.notes.serializers.notes import SignedNoteOutputSerializer
from sessions.notes.services.co_signature import note_co_sign, note_return

WHO = (
    " By who supervised the note's author on the day of the session, there or elsewhere: still of"
    " the practice and assigned to the facility, of a credential that may supervise the author's"
    " (setting `supervision.may_supervise`), with a licence there on the day of the session and"
    " today; never by the author (403 `may_not_co_sign`). If-Match names the version of the signed"
    " note that was read, so that no addendum is passed over."
)


class NoteCoSignatureView(CommandView):
    """The supervisor co-signs the note of another."""

    post = Command(
        "Co-sign a session's note",
        tag="notes",
        roles=PRACTITIONER_ONLY,
        input=CoSignatureInputSerializer,
        output=SignedNoteOutputSerializer,
        status=201,
        errors=(404, 409),
        if_match="required",
        idempotency="required",
        execute=note_co_sign,
        render=render_signed_note,
        description="What an authorization gives for the note is drawn now. An addendum after it"
        " wants another look; what was drawn stands, corrected minutes count at once. 409"
        " `co_signature_not_required`, `already_co_signed`, and `note_returned` until the author"
        " has answered by an addendum." + WHO,
    )


class NoteReturnView(CommandView):
    """The supervisor sends the note of another back."""

    post = Command(
        "Return a note to its author",
        tag="notes",
        roles=PRACTITIONER_ONLY,
        input=NoteReturnInputSerializer,
        output=SignedNoteOutputSerializer,
        errors=(404, 409),
        if_match="required",
        execute=note_return,
        render=render_signed_note,
        description="With what is to be put right or explained. The author answers by an addendum;"
        " then it waits for the co-signature again." + WHO,
    )


@extend_schema_view(
    get=endpoint(
        "Notes that wait for a co-signature",
        response=AwaitingCoSignatureOutputSerializer(many=True),
        description=(
            "Signed notes that wait for the supervisor's co-signature, for the author's answer to "
            "a return, or for another look after an addendum, the oldest first, with their age and "
            "who may co-sign; `nobody` says why nobody can, e.g. since the supervisor has left. A "
            "practitioner reads their own and those of whom they supervised that day "
            "(`to_co_sign=true`: these alone), the owner all. No word of a note is shown."
        ),
        tags=["notes"],
    )
)
class AwaitingCoSignatureListView(ListView):
    """What somebody still has to co-sign or answer."""

    roles = {"GET": CLINICAL}
    order = ("signed_at", "id")
    filterset_class = AwaitingCoSignatureFilter

    def get_queryset(self) -> QuerySet[Note]:
        """All of the practice, or a practitioner's own and those that they supervised."""
        actor = self.actor(self.request)
        return awaiting_co_signature(actor, notes_visible(actor))

    def serialize_rows(self, request: Request, rows: list[Any]) -> Any:
        """With names and ages; the record of everyone on the page is read."""
        self.log_reads(request, (row.client_id for row in rows), "notes awaiting co-signature")
        shown = with_ages(named_notes(rows), clock.now())
        return AwaitingCoSignatureOutputSerializer(shown, many=True).data
