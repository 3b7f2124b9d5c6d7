"""Searching clients, reading and changing their details."""

from __future__ import annotations

import json
from typing import Any
from uuid import UUID

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from clients.identity.client_views import ClientRecordView, record_renderer
from clients.identity.models import Client
from clients.identity.rendering import serialize_client
from clients.identity.selectors import client_search, no_clients
from clients.identity.serializers import (
    ClientDetailOutputSerializer,
    ClientInputSerializer,
    ClientOutputSerializer,
    ClientSearchInputSerializer,
)
from clients.identity.services import client_change
from practice.accesslog.services import log_search
from practice.http.base_views import PagedView
from practice.http.commands import Command
from practice.http.middleware import request_id_of
from practice.http.openapi import endpoint
from practice.http.roles import ANY_STAFF, DESK


@extend_schema_view(
    post=endpoint(
        "Search clients by name, birth date or phone",
        request=ClientSearchInputSerializer,
        response=ClientOutputSerializer(many=True),
        description=(
            "All that is given must fit; a name from its beginning, given or family name "
            "first. Answers a page of those whom the caller sees. Sent in a body, since "
            "query strings end up in logs."
        ),
        tags=["clients"],
    )
)
class ClientSearchView(PagedView):
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
            return no_clients()
        asked = ClientSearchInputSerializer.checked(self.request.data)
        return client_search(self.actor(self.request), asked)

    def serialize_rows(self, request: Request, rows: list[Any]) -> Any:
        """With what was asked for and who was found logged."""
        log_search(
            staff_id=self.caller(request).pk,
            client_ids=[row.pk for row in rows],
            what="search of clients",
            asked=json.dumps(request.data, sort_keys=True, ensure_ascii=False),
            request_id=request_id_of(request),
        )
        return super().serialize_rows(request, rows)

    def post(self, request: Request) -> Response:
        return self.list_response(request)


class ClientDetailView(ClientRecordView):
    """Who the client is and how they are reached."""

    roles = {"GET": ANY_STAFF}
    logged_as = "details"

    @endpoint(
        "Read a client's details",
        response=ClientDetailOutputSerializer,
        errors=(404,),
        description=(
            "Name, birth date, language, how they may be reached, and the facilities where "
            "they come; nothing of their health. The ETag is the version of the whole "
            "record."
        ),
        tags=["clients"],
    )
    def get(self, request: Request, client_id: UUID) -> Response:
        return self.read(request, client_id, serialize_client)

    patch = Command(
        "Change a client's details",
        tag="clients",
        roles=DESK,
        input=ClientInputSerializer,
        example={"phone": "+1 415 555 0188", "contact_by": "phone"},
        partial=True,
        output=ClientDetailOutputSerializer,
        errors=(404, 409),
        if_match="optional",
        execute=client_change,
        render=record_renderer(serialize_client),
        description=(
            "Fields that are left out stay, and so do facilities that the caller does not "
            "see. The history keeps what stood before. With `If-Match` a change of a record "
            "that has moved on is refused."
        ),
    )
