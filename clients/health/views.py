"""Health history as reported and reviewed."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from clients.health.domain.events import HistoryReported
from clients.health.rendering import serialize_health_history
from clients.health.selectors import health_history_of
from clients.health.serializers import (
    HealthHistoryOutputSerializer,
    HistoryReportInputSerializer,
    HistoryReportReceiptOutputSerializer,
    HistoryReviewInputSerializer,
)
from clients.health.services import history_report, history_review
from clients.identity.client_views import ClientRecordView
from practice.core.reasons import Rejected
from practice.core.terms import Role
from practice.http.openapi import endpoint
from practice.http.roles import CARE, PRACTITIONER_ONLY
from practice.http.views import CommandResponse
from practice.work.unit_of_work import UnitOfWork


@extend_schema_view(
    get=endpoint(
        "Read the health history",
        response=HealthHistoryOutputSerializer,
        errors=(404,),
        description="To the front desk only until a practitioner has reviewed it.",
        tags=["health history"],
    ),
    post=endpoint(
        "Report a health history",
        request=HistoryReportInputSerializer,
        response=HistoryReportReceiptOutputSerializer,
        status=201,
        errors=(404,),
        idempotency="optional",
        description="It narrows at once and frees nothing until a practitioner reviewed it.",
        tags=["health history"],
    ),
)
class HealthHistoryView(ClientRecordView):
    """The reviewed history, and the reports that wait for review."""

    roles = {"GET": CARE, "POST": CARE}
    output_serializer = HealthHistoryOutputSerializer

    def get(self, request: Request, client_id: UUID) -> Response:
        """As it stands."""
        self.check_visible(request, client_id)
        row = health_history_of(client_id)
        if self.role(request) is Role.FRONT_DESK and row is not None and row.status == "reviewed":
            raise Rejected(
                "reviewed_history", "A reviewed history is read by practitioners.", status=403
            )
        return self.read(request, client_id, "health history", serialize_health_history)

    def post(self, request: Request, client_id: UUID) -> Any:
        """Take a report; its content is not shown back to the desk."""
        command = HistoryReportInputSerializer.read(request.data)
        self.check_visible(request, client_id)

        def execute(uow: UnitOfWork) -> CommandResponse:
            outcome = history_report(uow, client_id=client_id, command=command)
            status = serialize_health_history(client_id, outcome.version)["status"]
            taken = {
                "report_id": outcome.first(HistoryReported).report_id,
                "status": status,
                "version": outcome.version,
            }
            return CommandResponse(
                HistoryReportReceiptOutputSerializer(taken).data, 201, outcome.version
            )

        return self.command(request, execute, status=201)


@extend_schema_view(
    post=endpoint(
        "Review the health history",
        request=HistoryReviewInputSerializer,
        response=HealthHistoryOutputSerializer,
        errors=(404, 409),
        if_match="required",
        idempotency="optional",
        description="The whole history as found; it takes in every report in that version.",
        tags=["health history"],
    )
)
class HealthHistoryReviewView(ClientRecordView):
    """A practitioner's review."""

    roles = {"POST": PRACTITIONER_ONLY}
    output_serializer = HealthHistoryOutputSerializer

    def post(self, request: Request, client_id: UUID) -> Any:
        """Record it."""
        version, command = (
            self.if_match(request, required=True),
            HistoryReviewInputSerializer.read(request.data),
        )
        return self.change(
            request,
            client_id,
            lambda uow: history_review(uow, client_id=client_id, command=command, if_match=version),
            serialize_health_history,
        )
