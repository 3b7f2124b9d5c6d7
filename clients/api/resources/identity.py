"""Searching clients, reading and changing their details."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from clients.api.clientview import ClientView
from clients.api.forms.identity import ClientDetail, ClientForm, ClientShown, SearchForm
from clients.api.shown.identity import shown_client
from clients.models import Client
from clients.selectors import client_get, client_search
from clients.services import client_change
from practice.api.describe import described
from practice.api.roles import ANY_STAFF, DESK
from practice.api.views import ListView


@extend_schema_view(
    post=described(
        "Search clients by name, birth date or phone",
        takes=SearchForm,
        gives=ClientShown(many=True),
        description="In a body, since query strings end up in logs.",
        tags=["clients"],
    )
)
class ClientSearch(ListView):
    """Clients by the beginning of a name, by birth date or by phone."""

    roles = {"POST": ANY_STAFF}
    serializer_class = ClientShown
    order = ("by_family", "id")

    def known_parameters(self) -> set[str]:
        """Only those of paging."""
        return {"cursor", "page_size"}

    def get_queryset(self) -> QuerySet[Client]:
        """What was asked for in the body."""
        if getattr(self, "swagger_fake_view", False):
            return Client.objects.none()
        asked = SearchForm.checked(self.request.data)
        return client_search(self.actor(self.request), asked)

    def post(self, request: Request) -> Response:
        """One page."""
        return self.listed(request)


@extend_schema_view(
    get=described("Read a client's details", gives=ClientDetail, refuses=(404,), tags=["clients"]),
    patch=described(
        "Change a client's details",
        takes=ClientForm,
        gives=ClientDetail,
        refuses=(404, 409),
        if_match="optional",
        idempotency="optional",
        tags=["clients"],
    ),
)
class OneClient(ClientView):
    """Who she is and how she is reached."""

    roles = {"GET": ANY_STAFF, "PATCH": DESK}
    form = ClientDetail

    def get(self, request: Request, client_id: UUID) -> Response:
        """As it stands."""
        return self.read(request, client_id, "details", self._show(request))

    def patch(self, request: Request, client_id: UUID) -> Any:
        """Change what is named."""
        changes, version = ClientForm.checked(request.data, partial=True), self.if_match(request)
        return self.change(
            request,
            client_id,
            lambda work: client_change(
                work, client_id=client_id, changes=changes, if_match=version
            ),
            self._show(request),
        )

    def _show(self, request: Request) -> Any:
        actor = self.actor(request)
        return lambda client_id, version: shown_client(client_get(actor, client_id), version)
