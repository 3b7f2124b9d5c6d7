"""Orders: listed, filed, lifted."""

from __future__ import annotations

from functools import partial
from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from clients.identity.client_views import ClientRecordView
from clients.orders.rendering import serialize_orders
from clients.orders.serializers import (
    OrderInputSerializer,
    OrderLiftInputSerializer,
    OrderListOutputSerializer,
)
from clients.orders.services import order_file, order_lift
from practice.http.openapi import endpoint
from practice.http.roles import CARE, CLINICAL


@extend_schema_view(
    get=endpoint(
        "List the client's papers",
        response=OrderListOutputSerializer,
        errors=(404,),
        description="To the front desk by kind and date only.",
        tags=["orders"],
    ),
    post=endpoint(
        "File a surgeon's or physician's paper",
        request=OrderInputSerializer,
        response=OrderListOutputSerializer,
        status=201,
        errors=(404, 409),
        if_match="optional",
        idempotency="optional",
        tags=["orders"],
    ),
)
class OrderListView(ClientRecordView):
    """Clearances, restrictions, signatures."""

    roles = {"GET": CARE, "POST": CLINICAL}
    output_serializer = OrderListOutputSerializer

    def get(self, request: Request, client_id: UUID) -> Response:
        """All of them."""
        return self.read(
            request, client_id, "orders", partial(serialize_orders, self.role(request))
        )

    def post(self, request: Request, client_id: UUID) -> Any:
        """File one."""
        paper, version = OrderInputSerializer.read(request.data), self.if_match(request)
        return self.change(
            request,
            client_id,
            lambda uow: order_file(uow, client_id=client_id, command=paper, if_match=version),
            partial(serialize_orders, self.role(request)),
            status=201,
        )


@extend_schema_view(
    post=endpoint(
        "Lift an order, by name and date",
        request=OrderLiftInputSerializer,
        response=OrderListOutputSerializer,
        errors=(404, 409),
        if_match="optional",
        idempotency="optional",
        tags=["orders"],
    )
)
class OrderLiftView(ClientRecordView):
    """An order that no longer counts."""

    roles = {"POST": CLINICAL}
    output_serializer = OrderListOutputSerializer

    def post(self, request: Request, client_id: UUID, order_id: UUID) -> Any:
        """Lift it."""
        lifted, version = (
            OrderLiftInputSerializer.read(request.data, order_id=order_id),
            self.if_match(request),
        )
        return self.change(
            request,
            client_id,
            lambda uow: order_lift(uow, client_id=client_id, command=lifted, if_match=version),
            partial(serialize_orders, self.role(request)),
        )
