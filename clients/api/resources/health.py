"""Health history as reported and reviewed; orders."""

from __future__ import annotations

from functools import partial
from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from clients.api import shown
from clients.api.clientview import ClientView
from clients.api.forms.health import (
    HistoryShown,
    LiftForm,
    OrderForm,
    OrdersShown,
    ReportForm,
    ReportTaken,
    ReviewForm,
)
from clients.domain.events import HistoryReported
from clients.selectors import health_history_of
from clients.services import history_report, history_review, order_file, order_lift
from practice.api.describe import described
from practice.api.roles import CARE, CLINICAL, PRACTITIONER_ONLY
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
        return self.read(request, client_id, "health history", shown.health_history)

    def post(self, request: Request, client_id: UUID) -> Any:
        """Take a report; its content is not shown back to the desk."""
        command = ReportForm.read(request.data)
        self.seen(request, client_id)

        def act(work: Work) -> Answer:
            outcome = history_report(work, client_id=client_id, command=command)
            status = shown.health_history(client_id, outcome.version)["status"]
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
            shown.health_history,
        )


@extend_schema_view(
    get=described(
        "List the client's papers",
        gives=OrdersShown,
        refuses=(404,),
        description="To the front desk by kind and date only.",
        tags=["orders"],
    ),
    post=described(
        "File a surgeon's or physician's paper",
        takes=OrderForm,
        gives=OrdersShown,
        status=201,
        refuses=(404, 409),
        if_match="optional",
        idempotency="optional",
        tags=["orders"],
    ),
)
class Orders(ClientView):
    """Leave, restrictions, clearance, signatures."""

    roles = {"GET": CARE, "POST": CLINICAL}
    form = OrdersShown

    def get(self, request: Request, client_id: UUID) -> Response:
        """All of them."""
        return self.read(request, client_id, "orders", partial(shown.orders, self.role(request)))

    def post(self, request: Request, client_id: UUID) -> Any:
        """File one."""
        paper, version = OrderForm.read(request.data), self.if_match(request)
        return self.change(
            request,
            client_id,
            lambda work: order_file(work, client_id=client_id, command=paper, if_match=version),
            partial(shown.orders, self.role(request)),
            status=201,
        )


@extend_schema_view(
    post=described(
        "Lift an order, by name and date",
        takes=LiftForm,
        gives=OrdersShown,
        refuses=(404, 409),
        if_match="optional",
        idempotency="optional",
        tags=["orders"],
    )
)
class Lifting(ClientView):
    """An order that no longer counts."""

    roles = {"POST": CLINICAL}
    form = OrdersShown

    def post(self, request: Request, client_id: UUID, order_id: UUID) -> Any:
        """Lift it."""
        lifted, version = LiftForm.read(request.data, order_id=order_id), self.if_match(request)
        return self.change(
            request,
            client_id,
            lambda work: order_lift(work, client_id=client_id, command=lifted, if_match=version),
            partial(shown.orders, self.role(request)),
        )
