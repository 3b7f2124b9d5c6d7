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
from practice.http.roles import CLINICAL, OWNER_ONLY, PRACTITIONER_ONLY
from sessions.notes.filters import AwaitingCoSignatureFilter
from sessions.notes.models import Note
from sessions.notes.rendering import render_signed_note
from sessions.notes.selectors.co_signature import awaiting_co_signature
from sessions.notes.selectors.lists import with_ages
from sessions.notes.selectors.notes import named_notes, notes_visible
from sessions.notes.serializers.co_signature import (
    AwaitingCoSignatureOutputSerializer,
    CoSignatureInputSerializer,
    CoSignerNamingInputSerializer,
    NoteReturnInputSerializer,
    ReturnTakeBackInputSerializer,
)
from sessions.notes.serializers.notes import SignedNoteOutputSerializer
from sessions.notes.services.co_signature import (
    co_signer_name,
    note_co_sign,
    note_return,
    note_return_take_back,
)

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


class NoteReturnTakeBackView(CommandView):
    """Who returned a note takes that back."""

    post = Command(
        "Take the return of a note back",
        tag="notes",
        roles=PRACTITIONER_ONLY,
        input=ReturnTakeBackInputSerializer,
        output=SignedNoteOutputSerializer,
        errors=(404, 409),
        if_match="required",
        execute=note_return_take_back,
        render=render_signed_note,
        description="By who returned it, with a reason, while its author has not answered by an"
        " addendum (409 `not_returned`). The note waits for the co-signature again; a return by"
        " somebody else stands. Who returned it as named by the owner, and in whose place another"
        " was named since, cannot (403 `named_since`), nor whose supervision of that day was taken"
        " off the record (403 `may_not_co_sign`). If-Match names the version of the signed note.",
    )


class CoSignerView(CommandView):
    """The owner names who co-signs a note that nobody of that day can co-sign."""

    post = Command(
        "Name who co-signs a note in place of a supervisor who cannot",
        tag="notes",
        roles=OWNER_ONLY,
        input=CoSignerNamingInputSerializer,
        output=SignedNoteOutputSerializer,
        errors=(404, 409),
        if_match="required",
        execute=co_signer_name,
        render=render_signed_note,
        description="Where nobody who supervised the author that day can co-sign the note"
        " (`co_signature.nobody`), e.g. since they left. The same must hold of who is named as of a"
        " supervisor: of the practice and assigned to the facility, of a credential that may"
        " supervise the author's, with a licence there on the day of the session and today; not the"
        " author, nor somebody whom the author supervised that day (409 `may_not_co_sign`). 409"
        " `somebody_can_co_sign` otherwise. Who was named and why is shown with the note.",
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
