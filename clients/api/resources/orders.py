"""Orders: listed, filed, lifted."""

from __future__ import annotations

from functools import partial
from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from clients.api.clientview import ClientView
from clients.api.forms.orders import LiftForm, OrderForm, OrdersShown
from clients.api.shown.orders import shown_orders
from clients.services import order_file, order_lift
from practice.api.describe import described
from practice.api.roles import CARE, CLINICAL


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
        return self.read(request, client_id, "orders", partial(shown_orders, self.role(request)))

    def post(self, request: Request, client_id: UUID) -> Any:
        """File one."""
        paper, version = OrderForm.read(request.data), self.if_match(request)
        return self.change(
            request,
            client_id,
            lambda work: order_file(work, client_id=client_id, command=paper, if_match=version),
            partial(shown_orders, self.role(request)),
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
            partial(shown_orders, self.role(request)),
        )
