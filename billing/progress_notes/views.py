"""Progress notes for payers: recorded, taken back, listed; and those that are due."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.db.models import QuerySet
from django.forms import UUIDField
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from billing.payers.selectors import practice_today
from billing.progress_notes import services
from billing.progress_notes.filters import ProgressNoteDueFilter
from billing.progress_notes.models import ProgressNote, TreatmentPeriod
from billing.progress_notes.rendering import (
    render_progress_note,
    serialize_due,
    serialize_progress_notes,
)
from billing.progress_notes.selectors.periods import (
    progress_note_get,
    progress_notes_of,
    running_periods,
)
from billing.progress_notes.serializers import (
    ProgressNoteDueOutputSerializer,
    ProgressNoteInErrorInputSerializer,
    ProgressNoteInputSerializer,
    ProgressNoteOutputSerializer,
)
from clients.identity.client_views import ClientRecordListView
from practice.http.base_views import ApiView, ListView
from practice.http.commands import Command, CommandView
from practice.http.openapi import endpoint
from practice.http.roles import CLINICAL, PAYER_REPORTS, PRACTITIONER_ONLY


@extend_schema_view(
    get=endpoint(
        "List progress notes that are due",
        response=ProgressNoteDueOutputSerializer(many=True),
        description="Clients whose payer asks for a progress note soon, now or since a day, the"
        " oldest period on top: with the treatment days that no note covers, counted per"
        " discipline. Payers say how often in their `progress_note_rule`. Every client on the"
        " page counts as read.",
        tags=["progress notes"],
    )
)
class ProgressNoteDueListView(ListView):
    """What payers wait for."""

    roles = {"GET": PAYER_REPORTS}
    filterset_class = ProgressNoteDueFilter
    order = ("begins_on", "id")

    def get_queryset(self) -> QuerySet[TreatmentPeriod]:
        return running_periods(self.actor(self.request))

    def serialize_rows(self, request: Request, rows: list[Any]) -> Any:
        """With names and what is asked; reads are logged."""
        self.log_reads(request, (row.client_id for row in rows), "progress notes due")
        asked = UUIDField(required=False).clean(request.query_params.get("payer_id"))
        return serialize_due(rows, practice_today(), asked)


@extend_schema_view(
    get=endpoint(
        "List a client's progress notes",
        response=ProgressNoteOutputSerializer(many=True),
        errors=(404,),
        description="The latest period on top; those entered in error are shown with the reason.",
        tags=["progress notes"],
    )
)
class ClientProgressNoteListView(ClientRecordListView):
    """The progress notes of one client."""

    roles = {"GET": PAYER_REPORTS}
    logged_as = "progress notes"
    order = ("-covers_until", "id")

    def get_queryset(self) -> QuerySet[ProgressNote]:
        return progress_notes_of(self.kwargs.get("client_id"))

    def serialize_rows(self, request: Request, rows: list[Any]) -> Any:
        """With names."""
        return serialize_progress_notes(rows)

    post = Command(
        "Record that a progress note was written",
        tag="progress notes",
        roles=PRACTITIONER_ONLY,
        input=ProgressNoteInputSerializer,
        output=ProgressNoteOutputSerializer,
        status=201,
        errors=(404, 409),
        execute=services.progress_note_record,
        render=render_progress_note,
        description="By the clinician who wrote it, for their discipline: a practitioner who may"
        " evaluate (403 for all others). The treatment days after its period count for the next"
        " one, whenever it was written. 409 `period_covered`, `no_treatment_day`, or"
        " `period_too_long` with the last day that the payer's rule lets it have.",
    )


class ProgressNoteDetailView(ApiView):
    """One progress note on record."""

    roles = {"GET": PAYER_REPORTS}

    @endpoint(
        "Read a progress note on record",
        response=ProgressNoteOutputSerializer,
        errors=(404,),
        description="When it was written, by whom, until which treatment day it covers, and where"
        " it is kept.",
        tags=["progress notes"],
    )
    def get(self, request: Request, progress_note_id: UUID) -> Response:
        """The note; its version as ETag."""
        row = progress_note_get(self.actor(request), progress_note_id)
        self.log_read(request, row.client_id, "progress note")
        (shown,) = serialize_progress_notes([row])
        return self.read_response(shown, version=row.version)


class ProgressNoteInErrorView(CommandView):
    """There was no such note."""

    post = Command(
        "Enter a progress note in error",
        tag="progress notes",
        roles=CLINICAL,
        input=ProgressNoteInErrorInputSerializer,
        output=ProgressNoteOutputSerializer,
        errors=(404, 409),
        execute=services.progress_note_enter_in_error,
        render=render_progress_note,
        description="With the reason: its treatment days count again; where a note of a later"
        " period stands, they belong to that one's period, which then begins earlier. It stays on"
        " record.",
    )
