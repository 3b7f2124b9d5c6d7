"""Visit summaries, and the accounting of what left the practice."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import UUID

from django.http import StreamingHttpResponse
from django.urls import reverse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema_view
from rest_framework.renderers import BaseRenderer, JSONRenderer
from rest_framework.request import Request
from rest_framework.response import Response

from billing.api.forms.disclosures import DisclosureRow, SummaryForm, SummaryReference
from billing.domain.disclosed import RecordDisclosed
from billing.selectors import disclosures
from billing.selectors.authorizations import authorization_get, billing_settings
from billing.selectors.export import export_warnings, summary_lines
from billing.services.disclosures import visit_summary_disclose
from practice.api.describe import described
from practice.api.roles import BILLING, DIAGNOSES
from practice.api.views import Answer, ApiView, ListView
from practice.clock import clock
from practice.eventlog.runner import Work


@extend_schema_view(
    post=described(
        "Export the authorized visit summary",
        takes=SummaryForm,
        gives=SummaryReference,
        status=201,
        refuses=(404,),
        idempotency="required",
        description="Logged as a disclosure; the answer says where the file is.",
        tags=["authorizations"],
    )
)
class VisitSummaries(ApiView):
    """Exports of one authorization."""

    roles = {"POST": BILLING}

    def post(self, request: Request, authorization_id: UUID) -> Any:
        """A disclosure, and the reference under which its file is read."""
        given = SummaryForm.checked(request.data)
        row = authorization_get(self.actor(request), authorization_id)

        def act(work: Work) -> Answer:
            outcome = visit_summary_disclose(
                work, client_id=row.client_id, authorization_id=authorization_id, **given
            )
            return Answer(self._reference(work, outcome.first(RecordDisclosed)))

        return self.command(request, act, status=201, idempotency="required")

    @staticmethod
    def _reference(work: Work, made: RecordDisclosed) -> dict[str, Any]:
        kept = timedelta(hours=billing_settings().summary_kept_hours)
        href = reverse("visit-summary", kwargs={"summary_id": made.disclosure_id})
        form = SummaryReference(
            {
                "id": made.disclosure_id,
                "href": href,
                "available_until": work.now + kept,
                "warnings": export_warnings(made),
            }
        )
        return dict(form.data)


class CsvRenderer(BaseRenderer):
    """Answers to text/csv; problems stay JSON."""

    media_type = "text/csv"
    format = "csv"

    def render(
        self, data: Any, accepted_media_type: str | None = None, renderer_context: Any = None
    ) -> Any:
        """Only problem documents come here: the file itself is streamed."""
        return JSONRenderer().render(data)


@extend_schema_view(
    get=described(
        "Download a visit summary as CSV",
        gives={(200, "text/csv"): OpenApiTypes.STR},
        refuses=(404, 410),
        description="RFC 4180 in UTF-8, one heading, safe against spreadsheet formulas. `record` "
        "says what a row is: the authorization, a visit, a service code used, the total.",
        tags=["authorizations"],
    )
)
class VisitSummary(ApiView):
    """The file of one export."""

    roles = {"GET": BILLING}
    renderer_classes = (CsvRenderer, JSONRenderer)  # type: ignore[assignment]  # the base: JSON

    def get(self, request: Request, summary_id: UUID) -> StreamingHttpResponse:
        """Line by line."""
        disclosure = disclosures.summary_get(summary_id, clock.now())
        self.log_read(request, disclosure.client_id, "visit summary")
        name = f"visit-summary-{summary_id}.csv"
        return StreamingHttpResponse(
            summary_lines(disclosure, with_diagnoses=self.actor(request).role in DIAGNOSES),
            content_type="text/csv; charset=utf-8; header=present",
            headers={"Content-Disposition": f'attachment; filename="{name}"'},
        )


@extend_schema_view(
    get=described(
        "List what of a client's record left the practice",
        gives=DisclosureRow(many=True),
        refuses=(404,),
        description="Date, recipient, what and purpose (45 CFR 164.528); kept beyond erasure.",
        tags=["clients"],
    )
)
class Disclosures(ListView):
    """The accounting of disclosures of one client, newest first."""

    roles = {"GET": BILLING}
    serializer_class = DisclosureRow
    order = ("-disclosed_at", "id")

    def get_queryset(self) -> Any:
        """Hers."""
        return disclosures.disclosure_list().filter(client_id=self.kwargs.get("client_id"))

    def get(self, request: Request, client_id: UUID) -> Response:
        """One page; 404 for an unknown client."""
        disclosures.check_client(client_id)
        self.log_read(request, client_id, "disclosures")
        return self.listed(request)
