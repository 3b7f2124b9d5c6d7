"""The history of a record, and the record as it was known on an earlier day."""

from __future__ import annotations

from uuid import UUID

from rest_framework.request import Request
from rest_framework.response import Response

from clients.identity.client_views import ClientRecordView
from clients.record.selectors import client_as_known, client_history
from clients.record.serializers import (
    AsOfQuerySerializer,
    HistoryQuerySerializer,
    RecordAsKnownOutputSerializer,
    RecordHistoryOutputSerializer,
)
from practice.http.openapi import endpoint
from practice.http.roles import CLINICAL


class RecordHistoryView(ClientRecordView):
    """Every event of the record."""

    roles = {"GET": CLINICAL}
    query_form = HistoryQuerySerializer

    @endpoint(
        "Read the history of the record",
        response=RecordHistoryOutputSerializer,
        query=HistoryQuerySerializer,
        errors=(404, 410),
        description="Every event, in pages: who, when it happened, when recorded, a sentence. Of an"
        " erased record the owner is told so (410); its closing events: the client's `erasure`.",
        tags=["history"],
    )
    def get(self, request: Request, client_id: UUID) -> Response:
        """In order of recording; with ``happened_by`` in order of happening."""
        page = client_history(client_id, **self.query(request))
        self.log_read(request, client_id, "history of the record")
        return self.read_response(RecordHistoryOutputSerializer(page).data)


class RecordAsKnownView(ClientRecordView):
    """The record as it was known at an instant."""

    roles = {"GET": CLINICAL}
    query_form = AsOfQuerySerializer

    @endpoint(
        "Read the record as it was known",
        response=RecordAsKnownOutputSerializer,
        query=AsOfQuerySerializer,
        errors=(404,),
        description=(
            "Folded from the log up to an instant: facts entered later are absent, whenever "
            "they happened. It shows what a decision of that day could rest on, and leaves "
            "the present untouched."
        ),
        tags=["history"],
    )
    def get(self, request: Request, client_id: UUID) -> Response:
        """Folded from the log as of then."""
        record = client_as_known(client_id, **self.query(request))
        self.log_read(request, client_id, "record as known")
        return self.read_response(RecordAsKnownOutputSerializer(record).data)
