"""Visits: what was drawn, what is not covered and why, and a person's choices."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from billing.authorizations.selectors.authorizations import authorization_get
from billing.visits.correction_serializers import (
    CorrectionInputSerializer,
    CorrectionQuerySerializer,
    CorrectionsOutputSerializer,
    serialize_corrections,
)
from billing.visits.domain.rule_corrections import CorrectedPeriod
from billing.visits.filters import VisitFilter
from billing.visits.selectors.rule_corrections import preview_corrections
from billing.visits.selectors.visits import name_visits, visit_get, visit_list
from billing.visits.serializers import VisitOutputSerializer, VisitOverrideInputSerializer
from billing.visits.services import overrides
from billing.visits.services.rule_corrections import visits_correct
from billing.visits.services.shared_time import visit_answer_shared_time
from practice.http.openapi import endpoint
from practice.http.roles import BILLING
from practice.http.views import ApiView, CommandResponse, ListView
from practice.work.unit_of_work import UnitOfWork


class NamedVisitListView(ListView):
    """A list of visits with names; each client's record on it is read."""

    def prepare_rows(self, request: Request, rows: list[Any]) -> list[Any]:
        """With names; reads are logged."""
        self.log_reads(request, (row.client_id for row in rows), "visits")
        return name_visits(rows)


@extend_schema_view(
    get=endpoint("List visits", response=VisitOutputSerializer(many=True), tags=["visits"]),
)
class VisitListView(NamedVisitListView):
    """Billing's list of visits, the latest days on top."""

    roles = {"GET": BILLING}
    serializer_class = VisitOutputSerializer
    filterset_class = VisitFilter
    order = ("-local_date", "id")

    def get_queryset(self) -> Any:
        """All visits."""
        return visit_list()

    def get(self, request: Request) -> Response:
        """One page."""
        return self.list_response(request)


@extend_schema_view(
    get=endpoint(
        "List the visits drawn from an authorization",
        response=VisitOutputSerializer(many=True),
        errors=(404,),
        tags=["authorizations"],
    ),
)
class AuthorizationVisitListView(NamedVisitListView):
    """The visits of one authorization, those it did not cover too, by day."""

    roles = {"GET": BILLING}
    serializer_class = VisitOutputSerializer
    order = ("local_date", "id")

    def get_queryset(self) -> Any:
        """Its visits."""
        return visit_list().filter(authorization_id=self.kwargs.get("authorization_id"))

    def get(self, request: Request, authorization_id: UUID) -> Response:
        """One page."""
        authorization_get(self.actor(request), authorization_id)
        return self.list_response(request)


@extend_schema_view(
    get=endpoint("Read a visit", response=VisitOutputSerializer, errors=(404,), tags=["visits"]),
)
class VisitDetailView(ApiView):
    """One visit."""

    roles = {"GET": BILLING}

    def get(self, request: Request, visit_id: UUID) -> Response:
        """As last reckoned; its version as ETag."""
        row = visit_get(visit_id)
        self.log_read(request, row.client_id, "visit")
        return self.read_response(VisitOutputSerializer(row).data, version=row.version)


OVERRIDES: dict[str, Callable[..., Any]] = {
    "units": overrides.visit_override_units,
    "authorization_id": overrides.visit_override_authorization,
    "shared_time": visit_answer_shared_time,
}


@extend_schema_view(
    post=endpoint(
        "Choose for a visit the code of its open units, its authorization, or whose the shared "
        "minutes are",
        request=VisitOverrideInputSerializer,
        response=VisitOutputSerializer,
        errors=(404, 409),
        if_match="optional",
        idempotency="optional",
        description="Where minutes are equal the rule leaves the code to a qualified person "
        "(CMS Pub. 100-04 ch. 5 section 20.2). One minute of a client or of a practitioner counts "
        "once: an answer on shared minutes holds for all sessions that share them. Naming an "
        "authorization also covers a visit after room appeared: nothing is covered by itself.",
        tags=["visits"],
    )
)
class VisitOverrideView(ApiView):
    """A person's choice for a visit."""

    roles = {"POST": BILLING}

    def post(self, request: Request, visit_id: UUID) -> Any:
        """Recorded, and drawn at once."""
        given, match = VisitOverrideInputSerializer.checked(request.data), self.if_match(request)
        row = visit_get(visit_id)
        override = OVERRIDES[next(name for name in OVERRIDES if name in given)]

        def execute(uow: UnitOfWork) -> CommandResponse:
            override(uow, client_id=row.client_id, visit_id=visit_id, if_match=match, **given)
            now = visit_get(visit_id)
            return CommandResponse(VisitOutputSerializer(now).data, version=now.version)

        return self.command(request, execute)


@extend_schema_view(
    get=endpoint(
        "Show which visits a payer's corrected rules would change",
        response=CorrectionsOutputSerializer,
        errors=(404, 409),
        query=CorrectionQuerySerializer,
        description="Nothing is changed. A day is calculated by the rules in force on it; visits "
        "that they make otherwise are shown before and after. 409 where the days hold more visits "
        "than one act takes.",
        tags=["billing"],
    ),
    post=endpoint(
        "Calculate again the visits that a payer's corrected rules change",
        request=CorrectionInputSerializer,
        response=CorrectionsOutputSerializer,
        errors=(404, 409),
        idempotency="optional",
        description="In one transaction, as they were shown: 409 where nothing would change or "
        "where the changes are no longer those of `version`.",
        tags=["billing"],
    ),
)
class PayerCorrectionView(ApiView):
    """What correcting a payer's rules changes of visits."""

    roles = {"GET": BILLING, "POST": BILLING}
    query_form = CorrectionQuerySerializer

    def get(self, request: Request, payer_id: UUID) -> Response:
        """The changes, before anything is changed."""
        found = preview_corrections(_period(payer_id, self.query(request)))
        self.log_reads(request, found.by_client, "visits")
        return self.read_response(serialize_corrections(found))

    def post(self, request: Request, payer_id: UUID) -> Any:
        """The visits as they are from now on."""
        given = CorrectionInputSerializer.checked(request.data)
        period = _period(payer_id, given)

        def execute(uow: UnitOfWork) -> CommandResponse:
            found = visits_correct(uow, period, version=given["version"], reason=given["reason"])
            self.log_reads(request, found.by_client, "visits")
            return CommandResponse(serialize_corrections(found))

        return self.command(request, execute)


def _period(payer_id: UUID, given: dict[str, Any]) -> CorrectedPeriod:
    return CorrectedPeriod(payer_id, given.get("from_date"), given.get("to_date"))
