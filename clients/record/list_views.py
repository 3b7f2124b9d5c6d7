"""Listing clients, by where history and consent stand too, and registering them."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from clients.identity.models import Client
from clients.identity.rendering import serialize_client
from clients.identity.selectors import client_get, client_list
from clients.identity.serializers import (
    ClientDetailOutputSerializer,
    ClientInputSerializer,
    ClientOutputSerializer,
)
from clients.identity.services import client_register
from clients.record.filters import ClientFacilityFilter, ClientFilter
from practice.core.terms import Role
from practice.http.filters import FilterSet
from practice.http.openapi import endpoint
from practice.http.roles import ANY_STAFF, DESK
from practice.http.views import CommandResponse, ListView
from practice.work.unit_of_work import UnitOfWork, new_client_stream


@extend_schema_view(
    get=endpoint("List clients", response=ClientOutputSerializer(many=True), tags=["clients"]),
    post=endpoint(
        "Register a client",
        request=ClientInputSerializer,
        response=ClientDetailOutputSerializer,
        status=201,
        idempotency="optional",
        tags=["clients"],
    ),
)
class ClientListView(ListView):
    """Clients of the facilities that I see, by family name."""

    roles = {"GET": ANY_STAFF, "POST": DESK}
    serializer_class = ClientOutputSerializer
    order = ("by_family", "id")

    @property
    def filterset_class(self) -> type[FilterSet]:
        """Billing filters by place alone."""
        billing = self.actor(self.request).role is Role.BILLING
        return ClientFacilityFilter if billing else ClientFilter

    def get_queryset(self) -> QuerySet[Client]:
        """Mine."""
        return client_list(self.actor(self.request))

    def get(self, request: Request) -> Response:
        """One page."""
        return self.list_response(request)

    def post(self, request: Request) -> Any:
        """Register her."""
        details = ClientInputSerializer.checked(request.data)
        client_id = new_client_stream()

        def execute(uow: UnitOfWork) -> CommandResponse:
            version = client_register(uow, client_id=client_id, details=details).version
            row = client_get(uow.actor, client_id)
            return CommandResponse(
                ClientDetailOutputSerializer(serialize_client(row, version)).data, 201, version
            )

        return self.command(request, execute, status=201)
