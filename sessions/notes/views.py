"""The note of a session: draft, signature, addenda; what was outside its permission."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.db.models import QuerySet
from django.http import HttpResponse
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from practice.core.terms import Role
from practice.http.openapi import endpoint
from practice.http.problem_documents import CONTENT_TYPE
from practice.http.roles import CLINICAL, PRACTITIONER_ONLY
from practice.http.views import ApiView, CommandResponse, ReadOnlyListView
from practice.work.unit_of_work import UnitOfWork
from sessions.calendar.selectors.sessions import session_get
from sessions.notes.domain.content import note_fields
from sessions.notes.models import Note
from sessions.notes.rendering import (
    collision_problem,
    serialize_note,
    serialize_saved_draft,
    serialize_signed_note,
)
from sessions.notes.selectors.notes import draft_of, named_notes, note_of, notes_outside
from sessions.notes.selectors.unsent import unsent_warnings
from sessions.notes.serializers.addenda import (
    AddendumInputSerializer,
    SignatureInputSerializer,
    UnsentDiscardInputSerializer,
)
from sessions.notes.serializers.notes import (
    DraftOutputSerializer,
    DraftSaveInputSerializer,
    NoteOutputSerializer,
    SignedNoteOutputSerializer,
)
from sessions.notes.services.addenda import addendum_add, unsent_discard
from sessions.notes.services.drafts import draft_save
from sessions.notes.services.notes import note_sign

DRAFT_SAVE_SCHEMA = endpoint(
    "Save a draft",
    request=DraftSaveInputSerializer,
    response=DraftOutputSerializer,
    errors=(404, 409),
    if_match="required",
    idempotency="optional",
    description=(
        "If-Match names the revision it was written upon, 0 for the first. A stale save"
        " merges; where two devices wrote one field it is 412 with both values, both kept."
        " Saves of one device are ordered by the revision they were written upon, then by"
        " sequence: one that comes late is named in `overtaken`; a sequence used again with other"
        " words upon the same revision is 412 with both. `findings` names what a signature would"
        " refuse, ask about or mark."
    ),
    tags=["notes"],
)


@extend_schema_view(
    get=endpoint(
        "Read a session's note", response=NoteOutputSerializer, errors=(404,), tags=["notes"]
    ),
    put=DRAFT_SAVE_SCHEMA,
    patch=DRAFT_SAVE_SCHEMA,
)
class SessionNoteView(ApiView):
    """Draft or signed note. PUT sends the whole note, PATCH what changed."""

    roles = {"GET": CLINICAL, "PUT": PRACTITIONER_ONLY, "PATCH": PRACTITIONER_ONLY}

    def get(self, request: Request, session_id: UUID) -> Response:
        """As it stands; its ETag is the draft's revision, or the signed note's version."""
        actor = self.actor(request)
        row = session_get(actor, session_id)
        self.log_read(request, row.client_id, "note")
        note, paper = note_of(session_id), draft_of(session_id)
        version = note.version if note else paper.revision if paper else 0
        return self.read_response(serialize_note(actor, note, paper), version=version)

    def put(self, request: Request, session_id: UUID) -> HttpResponse:
        """The whole note as it should read."""
        return self._save(request, session_id, whole=True)

    def patch(self, request: Request, session_id: UUID) -> HttpResponse:
        """What changed."""
        return self._save(request, session_id, whole=False)

    def _save(self, request: Request, session_id: UUID, *, whole: bool) -> HttpResponse:
        base = self.if_match(request, required=True) or 0
        form = DraftSaveInputSerializer(data=request.data)
        form.is_valid(raise_exception=True)
        save = form.to_save(base, note_fields(form.validated_data), whole=whole)

        def execute(uow: UnitOfWork) -> CommandResponse:
            done = draft_save(uow, session_id, save)
            revision = done.saved.revision
            if done.saved.collisions:
                return CommandResponse(collision_problem(done), status=412, version=revision)
            return CommandResponse(serialize_saved_draft(done), version=revision)

        response = self.command(request, execute)
        if response.status_code == 412:
            response["Content-Type"] = CONTENT_TYPE
        return response


@extend_schema_view(
    post=endpoint(
        "Sign a session's note",
        request=SignatureInputSerializer,
        response=SignedNoteOutputSerializer,
        status=201,
        errors=(404, 409),
        if_match="required",
        idempotency="required",
        description=(
            "If-Match names the draft's revision. A signed note never changes. The start is the"
            " opening within the booked time, else the arrival within it, else the booked start;"
            " the draft may set start and end. More minutes than lie between them are refused;"
            " more than booked need `confirm_more_than_booked` (409 `confirmation_needed`). Signing"
            " before the end and time shared with other sessions are named in `warnings`."
        ),
        tags=["notes"],
    )
)
class NoteSignatureView(ApiView):
    """The practitioner of the session signs."""

    roles = {"POST": PRACTITIONER_ONLY}

    def post(self, request: Request, session_id: UUID) -> Any:
        """Sign it."""
        revision = self.if_match(request, required=True) or 0
        given = SignatureInputSerializer.checked(request.data)
        confirmed = given.get("confirm_more_than_booked", False)

        def execute(uow: UnitOfWork) -> CommandResponse:
            note_sign(uow, session_id, revision=revision, confirmed=confirmed)
            note = Note.objects.get(session_id=session_id)
            return CommandResponse(
                serialize_signed_note(uow.actor.role, note), version=note.version
            )

        return self.command(request, execute, status=201, idempotency="required")


@extend_schema_view(
    post=endpoint(
        "Add to a signed note",
        request=AddendumInputSerializer,
        response=SignedNoteOutputSerializer,
        status=201,
        errors=(404, 409, 412),
        idempotency="optional",
        description=(
            "Corrections are merged by part and bounded by start and end; `before` and `after` show"
            " both. What a device saved after the signature stays with its author until"
            " `send_unsent` names its revision, or it is discarded."
        ),
        tags=["notes"],
    )
)
class NoteAddendaView(ApiView):
    """Later words on a signed note."""

    roles = {"POST": PRACTITIONER_ONLY}

    def post(self, request: Request, session_id: UUID) -> Any:
        """Add one."""
        form = AddendumInputSerializer(data=request.data)
        form.is_valid(raise_exception=True)
        asked = form.to_request()

        def execute(uow: UnitOfWork) -> CommandResponse:
            addendum_add(uow, session_id, asked)
            note, told = Note.objects.get(session_id=session_id), unsent_warnings(session_id)
            shown = serialize_signed_note(uow.actor.role, note, told=told)
            return CommandResponse(shown, version=note.version)

        return self.command(request, execute, status=201)


@extend_schema_view(
    post=endpoint(
        "Discard words that came in after the signature",
        request=UnsentDiscardInputSerializer,
        response=NoteOutputSerializer,
        errors=(404,),
        if_match="required",
        idempotency="optional",
        description="By their author alone. If-Match names the revision of the unsent words"
        " (`draft.revision`). The history keeps that they were discarded, and why.",
        tags=["notes"],
    )
)
class UnsentWordsDiscardView(ApiView):
    """What a device saved after the signature, discarded by its author."""

    roles = {"POST": PRACTITIONER_ONLY}

    def post(self, request: Request, session_id: UUID) -> Any:
        """Discard them."""
        revision = self.if_match(request, required=True) or 0
        reason = UnsentDiscardInputSerializer.checked(request.data)["reason"]

        def execute(uow: UnitOfWork) -> CommandResponse:
            unsent_discard(uow, session_id, revision=revision, reason=reason)
            note = Note.objects.get(session_id=session_id)
            shown = serialize_note(uow.actor, note, draft_of(session_id))
            return CommandResponse(shown, version=note.version)

        return self.command(request, execute)


@extend_schema_view(
    get=endpoint(
        "Work outside its permission",
        response=SignedNoteOutputSerializer(many=True),
        description="The owner reads all, a practitioner those that they signed.",
        tags=["owner"],
    )
)
class NotesOutsidePermissionListView(ReadOnlyListView):
    """Signed notes with lines outside their permission, explained or found later."""

    roles = {"GET": CLINICAL}
    serializer_class = SignedNoteOutputSerializer
    order = ("signed_at", "id")

    def get_queryset(self) -> QuerySet[Note]:
        """All of the practice, or a practitioner's own."""
        return notes_outside(self.actor(self.request))

    def prepare_rows(self, request: Request, rows: list[Any]) -> list[Any]:
        """With names; the record of everyone on the page is read."""
        self.log_reads(request, (row.client_id for row in rows), "notes")
        return named_notes(rows)

    def get_serializer(self, *args: Any, **kwargs: Any) -> Any:
        """Rows with their reasons."""
        role = Role(self.caller(self.request).role)
        return SignedNoteOutputSerializer(
            [serialize_signed_note(role, row, order=False) for row in args[0]], **kwargs
        )
