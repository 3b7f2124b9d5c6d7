"""The history of a record, and the record as it was known on an earlier day."""

from __future__ import annotations

from uuid import UUID

from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from clients.api.clientview import ClientView
from clients.api.forms.past import HistoryOfRecord, PastQuery, RecordShown
from clients.selectors import client_as_known, client_history
from practice.api.describe import described
from practice.api.roles import CLINICAL


@extend_schema_view(
    get=described(
        "Read the history of the record",
        gives=HistoryOfRecord,
        query=PastQuery,
        refuses=(404, 410),
        description="Every event: who, when it happened, when it was recorded, a sentence. Of an"
        " erased record the owner is told so (410); its closing events: the client's `erasure`.",
        tags=["history"],
    )
)
class RecordHistory(ClientView):
    """Every event of the record."""

    roles = {"GET": CLINICAL}
    query_form = PastQuery

    def get(self, request: Request, client_id: UUID) -> Response:
        """In order of recording; with ``happened_by`` in order of happening."""
        self.seen(request, client_id)
        events = client_history(client_id, **self.query(request))
        self.log_read(request, client_id, "history of the record")
        return self.shown(HistoryOfRecord({"results": events}).data)


@extend_schema_view(
    get=described(
        "Read the record as it was known",
        gives=RecordShown,
        query=PastQuery,
        refuses=(404,),
        tags=["history"],
    )
)
class RecordAsKnown(ClientView):
    """The record as it was known at an instant."""

    roles = {"GET": CLINICAL}
    query_form = PastQuery

    def get(self, request: Request, client_id: UUID) -> Response:
        """Folded from the log as of then."""
        self.seen(request, client_id)
        record = client_as_known(client_id, **self.query(request))
        self.log_read(request, client_id, "record as known")
        return self.shown(RecordShown(record).data)
