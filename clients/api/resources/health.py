"""Health history as reported and reviewed."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from clients.api.clientview import ClientView
from clients.api.forms.health import HistoryShown, ReportForm, ReportTaken, ReviewForm
from clients.api.shown.health import shown_health_history
from clients.domain.events import HistoryReported
from clients.selectors import health_history_of
from clients.services import history_report, history_review
from practice.api.describe import described
from practice.api.roles import CARE, PRACTITIONER_ONLY
from practice.api.views import Answer
from practice.domain.reasons import Rejected
from practice.domain.terms import Role
from practice.eventlog.runner import Work


@extend_schema_view(
    get=described(
        "Read the health history",
        gives=HistoryShown,
        refuses=(404,),
        description="To the front desk only until a practitioner has reviewed it.",
        tags=["health history"],
    ),
    post=described(
        "Report a health history",
        takes=ReportForm,
        gives=ReportTaken,
        status=201,
        refuses=(404,),
        idempotency="optional",
        description="It narrows at once and frees nothing until a practitioner reviewed it.",
        tags=["health history"],
    ),
)
class History(ClientView):
    """The reviewed history, and the reports that wait for review."""

    roles = {"GET": CARE, "POST": CARE}
    form = HistoryShown

    def get(self, request: Request, client_id: UUID) -> Response:
        """As it stands."""
        self.seen(request, client_id)
        row = health_history_of(client_id)
        if self.role(request) is Role.FRONT_DESK and row is not None and row.status == "reviewed":
            raise Rejected(
                "reviewed_history", "A reviewed history is read by practitioners.", status=403
            )
        return self.read(request, client_id, "health history", shown_health_history)

    def post(self, request: Request, client_id: UUID) -> Any:
        """Take a report; its content is not shown back to the desk."""
        command = ReportForm.read(request.data)
        self.seen(request, client_id)

        def act(work: Work) -> Answer:
            outcome = history_report(work, client_id=client_id, command=command)
            status = shown_health_history(client_id, outcome.version)["status"]
            taken = {
                "report_id": outcome.first(HistoryReported).report_id,
                "status": status,
                "version": outcome.version,
            }
            return Answer(ReportTaken(taken).data, 201, outcome.version)

        return self.command(request, act, status=201)


@extend_schema_view(
    post=described(
        "Review the health history",
        takes=ReviewForm,
        gives=HistoryShown,
        refuses=(404, 409),
        if_match="required",
        idempotency="optional",
        description="The whole history as found; it takes in every report in that version.",
        tags=["health history"],
    )
)
class Review(ClientView):
    """A practitioner's review."""

    roles = {"POST": PRACTITIONER_ONLY}
    form = HistoryShown

    def post(self, request: Request, client_id: UUID) -> Any:
        """Record it."""
        version, command = self.if_match(request, required=True), ReviewForm.read(request.data)
        return self.change(
            request,
            client_id,
            lambda work: history_review(
                work, client_id=client_id, command=command, if_match=version
            ),
            shown_health_history,
        )
