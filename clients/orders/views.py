"""Orders: listed, filed, lifted."""

from __future__ import annotations

from uuid import UUID

from rest_framework.request import Request
from rest_framework.response import Response

from clients.identity.client_views import ClientRecordView, record_renderer
from clients.orders.rendering import serialize_orders
from clients.orders.serializers import (
    OrderInputSerializer,
    OrderLiftInputSerializer,
    OrderListOutputSerializer,
    OrderPrecedenceInputSerializer,
)
from clients.orders.services import order_file, order_lift, order_precedence_name
from practice.http.commands import Command
from practice.http.openapi import endpoint
from practice.http.roles import CARE, CLINICAL, PRACTITIONER_ONLY


class OrderListView(ClientRecordView):
    """Leave, restrictions, clearance, signatures."""

    roles = {"GET": CARE}
    logged_as = "orders"

    @endpoint(
        "List the client's orders",
        response=OrderListOutputSerializer,
        errors=(404,),
        description=(
            "Clearances and restrictions, the newest first, lifted and run-out ones among "
            "them. The front desk reads their kind and dates alone, practitioners and owner "
            "what they say."
        ),
        tags=["orders"],
    )
    def get(self, request: Request, client_id: UUID) -> Response:
        return self.read(request, client_id, serialize_orders)

    post = Command(
        "File a surgeon's or physician's order",
        tag="orders",
        roles=CLINICAL,
        input=OrderInputSerializer,
        output=OrderListOutputSerializer,
        status=201,
        errors=(404, 409),
        if_match="optional",
        execute=order_file,
        render=record_renderer(serialize_orders),
        description=(
            "It is taken as it reads. A restriction closes from its date at once; a "
            "clearance opens only the subjects, regions and techniques that it names. "
            "Sessions to come are evaluated again, and signed notes that an earlier date "
            "concerns are marked."
        ),
    )


class OrderLiftView(ClientRecordView):
    """An order that no longer counts."""

    post = Command(
        "Lift an order, by name and date",
        tag="orders",
        roles=CLINICAL,
        input=OrderLiftInputSerializer,
        output=OrderListOutputSerializer,
        errors=(404, 409),
        if_match="optional",
        execute=order_lift,
        render=record_renderer(serialize_orders),
        description=(
            "From that day it neither opens nor closes anything; earlier days stand as they "
            "were. Sessions to come are evaluated again. Once lifted, a repeat changes "
            "nothing."
        ),
    )


class OrderPrecedenceView(ClientRecordView):
    """A restriction and a clearance of a later date speak of the same."""

    post = Command(
        "Name which of a restriction and a later clearance stands",
        tag="orders",
        roles=PRACTITIONER_ONLY,
        input=OrderPrecedenceInputSerializer,
        output=OrderListOutputSerializer,
        errors=(403, 404, 409),
        if_match="optional",
        execute=order_precedence_name,
        render=record_renderer(serialize_orders),
        description="Until then the restriction closes. Only a practitioner whose credential may"
        " evaluate (setting `evaluating_credentials`).",
    )
