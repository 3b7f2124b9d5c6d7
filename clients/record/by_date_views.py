"""A client's history by date, as data and to be printed."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.db.models import QuerySet
from django.http import HttpResponse
from django.template.loader import render_to_string
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request

from clients.identity.client_views import ClientRecordListView, ClientRecordView
from clients.identity.selectors import client_details_row
from clients.record.by_date import (
    MOST_PRINTED,
    history_by_date,
    kind_label,
    opened,
    to_print,
    zone_of_client,
)
from clients.record.by_date_serializers import (
    HistoryByDateQuerySerializer,
    HistoryEntryOutputSerializer,
)
from practice.clock import clock
from practice.core.localtime import zone_named
from practice.eventstore.models import StoredEvent
from practice.http.openapi import endpoint
from practice.http.renderers import HtmlRenderer
from practice.http.roles import CLINICAL
from practice.policy.selectors import practice_get


@extend_schema_view(
    get=endpoint(
        "List the client's history by date",
        response=HistoryEntryOutputSerializer(many=True),
        query=HistoryByDateQuerySerializer,
        errors=(404,),
        description="Sessions, notes, readings, stretches, consent, orders, papers, incidents and "
        "all else that is on record, in pages, the latest happening first; narrowed by kind, days "
        "and who recorded it. What was put right later stands beside its correction. A page opens "
        "what it shows and no more.",
        tags=["history"],
    )
)
class HistoryByDateView(ClientRecordListView):
    """What happened, by date."""

    roles = {"GET": CLINICAL}
    query_form = HistoryByDateQuerySerializer
    logged_as = "history by date"
    order = ("-occurred_at", "-recorded_at", "-version")

    def get_queryset(self) -> QuerySet[StoredEvent]:
        """The rows that are asked for; none where the description is made."""
        if (client_id := self.kwargs.get("client_id")) is None:
            return history_by_date(None)
        return history_by_date(client_id, **self.query(self.request))

    def serialize_rows(self, request: Request, rows: list[Any]) -> Any:
        """What a page shows is opened."""
        shown = opened(self.kwargs["client_id"], rows)
        return HistoryEntryOutputSerializer(shown, many=True).data


class HistoryPrintoutView(ClientRecordView):
    """The same as a page."""

    roles = {"GET": CLINICAL}
    query_form = HistoryByDateQuerySerializer
    renderer_classes = (HtmlRenderer,)

    @endpoint(
        "Print the client's history by date",
        response={(200, "text/html"): OpenApiTypes.STR},
        query=HistoryByDateQuerySerializer,
        errors=(404,),
        description=f"The same entries as a page to print, the earliest first: at most "
        f"{MOST_PRINTED}, and where there are more it says so at its head.",
        tags=["history"],
    )
    def get(self, request: Request, client_id: UUID) -> HttpResponse:
        """The page."""
        asked = self.query(request)
        label = kind_label(asked["kind"]) if asked.get("kind") else ""
        entries, more = to_print(client_id, history_by_date(client_id, **asked))
        self.log_read(request, client_id, "history by date, printed")
        zone = zone_of_client(client_id)
        page = render_to_string(
            "clients/history.html",
            {
                "client": client_details_row(client_id),
                "asked": {"from": asked.get("from_"), "kind_label": label, **asked},
                "entries": entries,
                "more": more,
                "most": MOST_PRINTED,
                "printed": clock.now().astimezone(zone_named(zone)).strftime("%Y-%m-%d %H:%M"),
                "zone": zone,
                "practice": practice_get(),
            },
        )
        return HttpResponse(page, content_type="text/html; charset=utf-8")
