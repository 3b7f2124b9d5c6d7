"""Visit summaries, and the accounting of what left the practice."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.urls import reverse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema_view
from rest_framework.renderers import JSONRenderer
from rest_framework.request import Request
from rest_framework.response import Response

from billing.authorizations.selectors.authorizations import authorization_get
from billing.summaries.domain.decisions import correction_warnings, overruled_warnings
from billing.summaries.domain.events import RecordDisclosed, VisitSummaryKept
from billing.summaries.domain.forms import SummaryForm
from billing.summaries.domain.state import KeptSummary
from billing.summaries.filters import SentSummaryFilter
from billing.summaries.selectors import disclosures
from billing.summaries.selectors.export import export_warnings
from billing.summaries.selectors.kept import kept_summary, with_corrected_since
from billing.summaries.serializers import (
    DisclosureOutputSerializer,
    SentSummaryOutputSerializer,
    SummaryDocumentOutputSerializer,
    SummaryFormInputSerializer,
    VisitSummaryInputSerializer,
    VisitSummaryReferenceOutputSerializer,
)
from billing.summaries.services import visit_summary_disclose
from practice.core.reasons import invalid
from practice.http.base_views import ApiView, ListView
from practice.http.commands import Command, CommandView
from practice.http.openapi import endpoint
from practice.http.renderers import CsvRenderer
from practice.http.representations import Representation
from practice.http.roles import BILLING
from practice.work.unit_of_work import Outcome, UnitOfWork


def render_reference(uow: UnitOfWork, outcome: Outcome) -> Representation:
    """Where a summary is read, and what to settle before it is sent."""
    made: RecordDisclosed = outcome.first(RecordDisclosed)
    kept: VisitSummaryKept = outcome.first(VisitSummaryKept)
    href = reverse("visit-summary", kwargs={"summary_id": made.disclosure_id})
    shown = {
        "id": made.disclosure_id,
        "href": href,
        "sha256": made.sha256,
        "warnings": [
            *export_warnings(kept.authorization_id, kept.starts_on, kept.ends_on),
            *overruled_warnings(kept),
            *correction_warnings(KeptSummary(uow.now, kept)),
        ],
    }
    data = VisitSummaryReferenceOutputSerializer(shown).data
    return Representation(data, headers={"Location": href})


class SentSummaryListView(ListView):
    """Summaries of one client that were sent, the latest first; that they are read is logged."""

    roles = {"GET": BILLING}
    logged_as = "visit summaries"
    order = ("-disclosed_at", "id")

    def serialize_rows(self, request: Request, rows: list[Any]) -> Any:
        """With the visits that were corrected since."""
        return SentSummaryOutputSerializer(with_corrected_since(rows), many=True).data


SENT = (
    "The latest first: when it went out, to whom and what for, the hash of each form as it was "
    "sent, and which of its days were corrected since, field by field with the reason."
)


@extend_schema_view(
    get=endpoint(
        "List the visit summaries of an authorization that were sent",
        response=SentSummaryOutputSerializer(many=True),
        errors=(404,),
        description=SENT,
        tags=["authorizations"],
    )
)
class VisitSummaryListView(CommandView, SentSummaryListView):
    """Exports of one authorization."""

    def get_queryset(self) -> Any:
        return disclosures.summary_list().filter(
            authorization_id=self.kwargs.get("authorization_id")
        )

    def get(self, request: Request, authorization_id: UUID) -> Response:
        """One page; 404 for an authorization that there is none of."""
        row = authorization_get(self.actor(request), authorization_id)
        self.log_read(request, row.client_id, self.logged_as)
        return self.list_response(request)

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
        description="Logged as a disclosure and kept as it is sent; `href` and `Location` say "
        "where it is read, with the same bytes for ever. One made later shows what was corrected "
        "since. 409 and no disclosure where the period holds no visit, unless a statement of none "
        "is asked for; and where units of its visits wait for a choice (`units_await_override`), "
        "unless `overrule` says why it is sent before that: what is sent stays as it is. Sessions "
        "of the period without a signed note are named in `warnings`, and in that 409.",
    )


@extend_schema_view(
    get=endpoint(
        "List the visit summaries of a client that were sent",
        response=SentSummaryOutputSerializer(many=True),
        errors=(404,),
        description=SENT,
        tags=["clients"],
    )
)
class ClientVisitSummaryListView(SentSummaryListView):
    """Exports of all authorizations of one client."""

    filterset_class = SentSummaryFilter

    def get_queryset(self) -> Any:
        return disclosures.summary_list().filter(client_id=self.kwargs.get("client_id"))

    def check_visible(self, request: Request, **ids: Any) -> None:
        """A client of whom nothing is on record, closed records included, is 404."""
        disclosures.check_client(ids["client_id"])

    def get(self, request: Request, client_id: UUID) -> Response:
        """One page; 404 for an unknown client."""
        self.log_read(request, client_id, self.logged_as)
        return self.list_response(request)


@extend_schema_view(
    get=endpoint(
        "Read a visit summary as it was sent",
        response={
            (200, "text/csv"): OpenApiTypes.STR,
            (200, "application/json"): SummaryDocumentOutputSerializer,
        },
        query=SummaryFormInputSerializer,
        errors=(404, 406, 410),
        description="The same bytes for ever, in each form that was kept when it was sent; by "
        "`Accept`: CSV (RFC 4180 in UTF-8, one heading, one row for each visit × service code) or "
        "JSON, which has the totals and the corrections too. `ETag` is the SHA-256 that the "
        "disclosure keeps. 410 once the record was erased; 403 where it holds diagnoses that "
        "the role does not read.",
        tags=["authorizations"],
    )
)
class VisitSummaryFileView(ApiView):
    """One summary."""

    roles = {"GET": BILLING}
    renderer_classes = (CsvRenderer, JSONRenderer)
    query_form = SummaryFormInputSerializer

    def get(self, request: Request, summary_id: UUID) -> HttpResponse:
        """In the form that ``Accept`` and ``dialect`` ask for."""
        disclosure = disclosures.summary_get(summary_id)
        form = self._form(request)
        kept = kept_summary(disclosure, self.actor(request).role)
        self.log_read(request, disclosure.client_id, "visit summary")
        period = f"{disclosure.starts_on}-to-{disclosure.ends_on}"
        name = f"visits-{period}-{str(summary_id)[:8]}"
        headers = {"ETag": f'"{disclosure.sha256[form]}"', "Vary": "Accept"}
        content, is_csv = kept.event.forms[form].encode(), form is not SummaryForm.JSON
        if is_csv:
            headers["Content-Disposition"] = f'attachment; filename="{name}.csv"'
        kind = "text/csv; charset=utf-8; header=present" if is_csv else "application/json"
        return HttpResponse(content, content_type=kind, headers=headers)

    def _form(self, request: Request) -> SummaryForm:
        dialect = self.query(request).get("dialect")
        if request.accepted_renderer.format == CsvRenderer.format:
            return SummaryForm(dialect or SummaryForm.PLAIN)
        if dialect is not None:
            raise invalid("dialect", "JSON has no dialect; ask for text/csv, or leave it out.")
        return SummaryForm.JSON


@extend_schema_view(
    get=endpoint(
        "List what of a client's record left the practice",
        response=DisclosureOutputSerializer(many=True),
        errors=(404,),
        description="Date, recipient, what and purpose (45 CFR 164.528), with the SHA-256 of what "
        "was sent; kept beyond erasure.",
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
