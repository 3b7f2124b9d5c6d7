"""The note of a session: draft, signature, addenda; what was outside its permission."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.db.models import QuerySet
from django.http import HttpResponse
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from practice.api.describe import described
from practice.api.documents import CONTENT_TYPE
from practice.api.roles import CLINICAL, OWNER_ONLY, PRACTITIONER_ONLY
from practice.api.views import Answer, ApiView, GetList
from practice.domain.terms import Role
from practice.eventlog.runner import Work
from sessions.api.forms.notes import AddendumForm, DraftForm, NoteForm, SaveForm, SignedForm
from sessions.api.shownotes import collision_problem, saved_draft, shown_note, shown_signed
from sessions.domain.notes.content import fields_of
from sessions.models import Note
from sessions.selectors.calendar import session_get
from sessions.selectors.notes import draft_of, note_of, notes_outside
from sessions.services.drafts import draft_save
from sessions.services.notes import addendum_add, note_sign

SAVING = described(
    "Save a draft",
    takes=SaveForm,
    gives=DraftForm,
    refuses=(404, 409),
    if_match="required",
    idempotency="optional",
    description=(
        "If-Match names the revision it was written upon, 0 for the first. A stale save"
        " merges; where two devices wrote one field it is 412 with both values, both kept."
        " A save that comes after one with a higher sequence of the same device does not overwrite"
        " it: the fields that were left alone for that are named in `repeated`."
    ),
    tags=["notes"],
)


@extend_schema_view(
    get=described("Read a session's note", gives=NoteForm, refuses=(404,), tags=["notes"]),
    put=SAVING,
    patch=SAVING,
)
class SessionNote(ApiView):
    """Draft or signed note. PUT sends the whole note, PATCH what changed."""

    roles = {"GET": CLINICAL, "PUT": PRACTITIONER_ONLY, "PATCH": PRACTITIONER_ONLY}

    def get(self, request: Request, session_id: UUID) -> Response:
        """As it stands; its ETag is the draft's revision, or the signed note's version."""
        actor = self.actor(request)
        row = session_get(actor, session_id)
        self.log_read(request, row.client_id, "note")
        note, paper = note_of(session_id), draft_of(session_id)
        version = note.version if note else paper.revision if paper else 0
        return self.shown(shown_note(actor, note, paper), version=version)

    def put(self, request: Request, session_id: UUID) -> HttpResponse:
        """The whole note as it should read."""
        return self._save(request, session_id, whole=True)

    def patch(self, request: Request, session_id: UUID) -> HttpResponse:
        """What changed."""
        return self._save(request, session_id, whole=False)

    def _save(self, request: Request, session_id: UUID, *, whole: bool) -> HttpResponse:
        base = self.if_match(request, required=True) or 0
        form = SaveForm(data=request.data)
        form.is_valid(raise_exception=True)
        save = form.to_save(base, fields_of(form.validated_data), whole=whole)

        def act(work: Work) -> Answer:
            done = draft_save(work, session_id, save)
            revision = done.saved.revision
            if done.saved.collisions:
                return Answer(collision_problem(done), status=412, version=revision)
            return Answer(saved_draft(done), version=revision)

        response = self.command(request, act)
        if response.status_code == 412:
            response["Content-Type"] = CONTENT_TYPE
        return response


@extend_schema_view(
    post=described(
        "Sign a session's note",
        gives=SignedForm,
        status=201,
        refuses=(404, 409),
        if_match="required",
        idempotency="required",
        description="If-Match names the draft's revision. A signed note never changes.",
        tags=["notes"],
    )
)
class Signature(ApiView):
    """The practitioner of the session signs."""

    roles = {"POST": PRACTITIONER_ONLY}

    def post(self, request: Request, session_id: UUID) -> Any:
        """Sign it."""
        revision = self.if_match(request, required=True) or 0

        def act(work: Work) -> Answer:
            note_sign(work, session_id, revision=revision)
            note = Note.objects.get(session_id=session_id)
            return Answer(shown_signed(work.actor.role, note), version=note.version)

        return self.command(request, act, status=201, idempotency="required")


@extend_schema_view(
    post=described(
        "Add to a signed note",
        takes=AddendumForm,
        gives=SignedForm,
        status=201,
        refuses=(404, 409),
        idempotency="optional",
        tags=["notes"],
    )
)
class Addenda(ApiView):
    """Later words on a signed note."""

    roles = {"POST": PRACTITIONER_ONLY}

    def post(self, request: Request, session_id: UUID) -> Any:
        """Add one."""
        form = AddendumForm(data=request.data)
        form.is_valid(raise_exception=True)
        text, minutes = form.validated_data["text"], form.to_minutes()

        def act(work: Work) -> Answer:
            addendum_add(work, session_id, text, minutes)
            note = Note.objects.get(session_id=session_id)
            return Answer(shown_signed(work.actor.role, note), version=note.version)

        return self.command(request, act, status=201)


@extend_schema_view(
    get=described("Work outside its permission", gives=SignedForm(many=True), tags=["owner"])
)
class NotesOutside(GetList):
    """Signed notes with lines outside their permission, explained or found later."""

    roles = {"GET": OWNER_ONLY}
    serializer_class = SignedForm
    order = ("signed_at", "id")

    def get_queryset(self) -> QuerySet[Note]:
        """All of the practice."""
        return notes_outside(self.actor(self.request))

    def get_serializer(self, *args: Any, **kwargs: Any) -> Any:
        """Rows with their reasons."""
        role = Role(self.staff(self.request).role)
        return SignedForm([shown_signed(role, row, order=False) for row in args[0]], **kwargs)
