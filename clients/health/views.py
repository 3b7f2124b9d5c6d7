"""Health history as reported and reviewed."""

from __future__ import annotations

from uuid import UUID

from rest_framework.request import Request
from rest_framework.response import Response

from clients.health.rendering import render_report_receipt, serialize_health_history
from clients.health.selectors import check_history_readable
from clients.health.serializers import (
    HealthHistoryOutputSerializer,
    HistoryReportInputSerializer,
    HistoryReportReceiptOutputSerializer,
    HistoryReviewInputSerializer,
)
from clients.health.services import history_report, history_review
from clients.identity.client_views import ClientRecordView, record_renderer
from practice.http.commands import Command
from practice.http.openapi import endpoint
from practice.http.roles import CARE, PRACTITIONER_ONLY


class HealthHistoryView(ClientRecordView):
    """The reviewed history, and the reports that wait for review."""

    roles = {"GET": CARE}
    logged_as = "health history"

    @endpoint(
        "Read the health history",
        response=HealthHistoryOutputSerializer,
        errors=(404,),
        description=(
            "Operations, radiation, conditions and blood counts as reported and as "
            "reviewed. The front desk reads it only until a practitioner has reviewed it "
            "(403)."
        ),
        tags=["health history"],
    )
    def get(self, request: Request, client_id: UUID) -> Response:
        check_history_readable(self.role(request), client_id)
        return self.read(request, client_id, serialize_health_history)

    post = Command(
        "Report a health history",
        tag="health history",
        roles=CARE,
        input=HistoryReportInputSerializer,
        output=HistoryReportReceiptOutputSerializer,
        status=201,
        errors=(404,),
        execute=history_report,
        render=render_report_receipt,
        description="It narrows at once and frees nothing until a practitioner reviewed it.",
    )


class HealthHistoryReviewView(ClientRecordView):
    """The review of a health history by a practitioner."""

    post = Command(
        "Review the health history",
        tag="health history",
        roles=PRACTITIONER_ONLY,
        input=HistoryReviewInputSerializer,
        output=HealthHistoryOutputSerializer,
        errors=(404, 409),
        if_match="required",
        execute=history_review,
        render=record_renderer(serialize_health_history),
        description=(
            "The whole of it as found, taking in every report in that version of "
            "`If-Match`, so that none is swallowed unread. What it says frees as well as "
            "narrows; sessions to come are evaluated again."
        ),
    )
