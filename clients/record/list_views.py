"""Listing clients, by where history and consent stand too, and registering them."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request

from clients.identity.models import Client
from clients.identity.rendering import render_registered_client
from clients.identity.selectors import client_list
from clients.identity.serializers import (
    ClientInputSerializer,
    ClientOutputSerializer,
    RegisteredClientOutputSerializer,
)
from clients.identity.services import client_register
from clients.record.filters import ClientFacilityFilter, ClientFilter
from practice.core.terms import Role
from practice.http.base_views import ListView
from practice.http.commands import Command, CommandView
from practice.http.filters import FilterSet
from practice.http.openapi import endpoint
from practice.http.roles import ANY_STAFF, DESK
from practice.work.unit_of_work import new_client_stream


@extend_schema_view(
    get=endpoint(
        "List clients",
        response=ClientOutputSerializer(many=True),
        description=(
            "Those who come to facilities that the caller sees, by family name, in pages. "
            "Filters narrow by place and, but for billing, by where health history and "
            "consent stand."
        ),
        tags=["clients"],
    )
)
class ClientListView(CommandView, ListView):
    """Clients of the facilities that I see, by family name."""

    roles = {"GET": ANY_STAFF}
    serializer_class = ClientOutputSerializer
    order = ("by_family", "id")

    @property
    def filterset_class(self) -> type[FilterSet]:
        """Billing filters by place alone."""
        billing = self.actor(self.request).role is Role.BILLING
        return ClientFacilityFilter if billing else ClientFilter

    def get_queryset(self) -> QuerySet[Client]:
        """Those whom the caller sees."""
        return client_list(self.actor(self.request))

    def serialize_rows(self, request: Request, rows: list[Any]) -> Any:
        """Everyone on the page is read (ruling 62)."""
        self.log_reads(request, (row.pk for row in rows), "clients")
        return super().serialize_rows(request, rows)

    def arguments(self, request: Request, **ids: Any) -> dict[str, Any]:
        """An id of a stream whose key is made already."""
        return {"client_id": new_client_stream()}

    post = Command(
        "Register a client",
        tag="clients",
        roles=DESK,
        input=ClientInputSerializer,
        output=RegisteredClientOutputSerializer,
        status=201,
        errors=(409,),
        execute=client_register,
        render=render_registered_client,
        description=(
            "Opens a record of its own. Without `facility_ids` it is seen where the "
            "registering member of staff works, without `zone` it has that of the first "
            "facility. Nothing may be done by hand until consent and a reviewed history are "
            "on it. `warnings` name who on record may be the same person, and why; nothing is "
            "refused for it, and the record keeps who was shown. Those who are other people are "
            "named in `told_apart_from`, here or later. 409 `number_said_stop`: register them "
            "without texts to that number, then assign the reply to them."
        ),
    )
