"""Searching clients, reading and changing their details."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from clients.identity.client_views import ClientRecordView
from clients.identity.models import Client
from clients.identity.rendering import serialize_client
from clients.identity.selectors import client_get, client_search
from clients.identity.serializers import (
    ClientDetailOutputSerializer,
    ClientInputSerializer,
    ClientOutputSerializer,
    ClientSearchInputSerializer,
)
from clients.identity.services import client_change
from practice.http.openapi import endpoint
from practice.http.roles import ANY_STAFF, DESK
from practice.http.views import ListView


@extend_schema_view(
    post=endpoint(
        "Search clients by name, birth date or phone",
        request=ClientSearchInputSerializer,
        response=ClientOutputSerializer(many=True),
        description="In a body, since query strings end up in logs.",
        tags=["clients"],
    )
)
class ClientSearchView(ListView):
    """Clients by the beginning of a name, by birth date or by phone."""

    roles = {"POST": ANY_STAFF}
    serializer_class = ClientOutputSerializer
    order = ("by_family", "id")

    def known_parameters(self) -> set[str]:
        """Only those of paging."""
        return {"cursor", "page_size"}

    def get_queryset(self) -> QuerySet[Client]:
        """What was asked for in the body."""
        if getattr(self, "swagger_fake_view", False):
            return Client.objects.none()
        asked = ClientSearchInputSerializer.checked(self.request.data)
        return client_search(self.actor(self.request), asked)

    def post(self, request: Request) -> Response:
        """One page."""
        return self.list_response(request)


@extend_schema_view(
    get=endpoint(
        "Read a client's details",
        response=ClientDetailOutputSerializer,
        errors=(404,),
        tags=["clients"],
    ),
    patch=endpoint(
        "Change a client's details",
        request=ClientInputSerializer,
        response=ClientDetailOutputSerializer,
        errors=(404, 409),
        if_match="optional",
        idempotency="optional",
        tags=["clients"],
    ),
)
class ClientDetailView(ClientRecordView):
    """Who she is and how she is reached."""

    roles = {"GET": ANY_STAFF, "PATCH": DESK}
    output_serializer = ClientDetailOutputSerializer

    def get(self, request: Request, client_id: UUID) -> Response:
        """As it stands."""
        return self.read(request, client_id, "details", self._show(request))

    def patch(self, request: Request, client_id: UUID) -> Any:
        """Change what is named."""
        changes, version = (
            ClientInputSerializer.checked(request.data, partial=True),
            self.if_match(request),
        )
        return self.change(
            request,
            client_id,
            lambda uow: client_change(uow, client_id=client_id, changes=changes, if_match=version),
            self._show(request),
        )

    def _show(self, request: Request) -> Any:
        actor = self.actor(request)
        return lambda client_id, version: serialize_client(client_get(actor, client_id), version)
