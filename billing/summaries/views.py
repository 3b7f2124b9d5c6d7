"""Visit summaries, and the accounting of what left the practice."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import UUID

from django.http import StreamingHttpResponse
from django.urls import reverse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from billing.authorizations.selectors.authorizations import billing_settings
from billing.summaries.domain.events import RecordDisclosed
from billing.summaries.selectors import disclosures
from billing.summaries.selectors.export import export_warnings, summary_lines
from billing.summaries.serializers import (
    DisclosureOutputSerializer,
    VisitSummaryInputSerializer,
    VisitSummaryReferenceOutputSerializer,
)
from billing.summaries.services import visit_summary_disclose
from practice.clock import clock
from practice.http.base_views import ApiView, ListView
from practice.http.commands import Command, CommandView
from practice.http.openapi import endpoint
from practice.http.renderers import CsvRenderer
from practice.http.roles import BILLING, DIAGNOSES
from practice.work.unit_of_work import Outcome, UnitOfWork


def render_reference(uow: UnitOfWork, outcome: Outcome) -> Any:
    """Where the file of an export is, and until when."""
    made: RecordDisclosed = outcome.first(RecordDisclosed)
    kept = timedelta(hours=billing_settings().summary_kept_hours)
    shown = {
        "id": made.disclosure_id,
        "href": reverse("visit-summary", kwargs={"summary_id": made.disclosure_id}),
        "available_until": uow.now + kept,
        "warnings": export_warnings(made),
    }
    return VisitSummaryReferenceOutputSerializer(shown).data


class VisitSummaryListView(CommandView):
    """Exports of one authorization."""

    post = Command(
        "Export the authorized visit summary",
        tag="authorizations",
        roles=BILLING,
        input=VisitSummaryInputSerializer,
        output=VisitSummaryReferenceOutputSerializer,
        status=201,
        errors=(404, 409),
        idempotency="required",
        execute=visit_summary_disclose,
        render=render_reference,
        description="Logged as a disclosure; the answer says where the file is. 409 and no "
        "disclosure where the period holds no visit, unless a statement of none is asked for.",
    )


@extend_schema_view(
    get=endpoint(
        "Download a visit summary as CSV",
        response={(200, "text/csv"): OpenApiTypes.STR},
        errors=(404, 410),
        description="RFC 4180 in UTF-8, one heading, safe against spreadsheet formulas. `record` "
        "says what a row is: the authorization, a visit, a service code used, the total.",
        tags=["authorizations"],
    )
)
class VisitSummaryFileView(ApiView):
    """The file of one export."""

    roles = {"GET": BILLING}
    renderer_classes = (CsvRenderer,)

    def get(self, request: Request, summary_id: UUID) -> StreamingHttpResponse:
        """Line by line."""
        disclosure = disclosures.summary_get(summary_id, clock.now())
        self.log_read(request, disclosure.client_id, "visit summary")
        period = f"{disclosure.starts_on}-to-{disclosure.ends_on}"
        name = f"visits-{period}-{str(summary_id)[:8]}.csv"
        return StreamingHttpResponse(
            summary_lines(disclosure, with_diagnoses=self.actor(request).role in DIAGNOSES),
            content_type="text/csv; charset=utf-8; header=present",
            headers={"Content-Disposition": f'attachment; filename="{name}"'},
        )


@extend_schema_view(
    get=endpoint(
        "List what of a client's record left the practice",
        response=DisclosureOutputSerializer(many=True),
        errors=(404,),
        description="Date, recipient, what and purpose (45 CFR 164.528); kept beyond erasure.",
        tags=["clients"],
    )
)
class DisclosureListView(ListView):
    """The accounting of disclosures of one client, newest first."""

    roles = {"GET": BILLING}
    serializer_class = DisclosureOutputSerializer
    order = ("-disclosed_at", "id")

    def get_queryset(self) -> Any:
        return disclosures.disclosure_list().filter(client_id=self.kwargs.get("client_id"))

    def check_visible(self, request: Request, **ids: Any) -> None:
        """A client of whom nothing is on record, closed records included, is 404."""
        disclosures.check_client(ids["client_id"])

    def get(self, request: Request, client_id: UUID) -> Response:
        """One page; 404 for an unknown client."""
        self.log_read(request, client_id, "disclosures")
        return self.list_response(request)
