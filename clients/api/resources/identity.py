"""Registering, listing, searching and changing clients."""

from __future__ import annotations

from datetime import date
from typing import Any
from uuid import UUID

import django_filters
from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from clients.api import shown
from clients.api.clientview import ClientView
from clients.api.forms.identity import ClientDetail, ClientForm, ClientShown, SearchForm
from clients.models import Client, ClientFacility, Consent, HealthHistory
from clients.selectors import client_get, client_list, client_search
from clients.services import client_change, client_register
from practice.api.describe import described
from practice.api.filters import FilterSet
from practice.api.roles import ANY_STAFF, DESK
from practice.api.views import Answer, ListView
from practice.domain.terms import Role
from practice.eventlog.runner import Work, new_client_stream


class PlaceFilter(FilterSet):
    """Filters for billing; names are searched in the body of a POST, never here."""

    facility_id = django_filters.UUIDFilter(
        method="at_facility", help_text="Clients who come to one facility."
    )

    class Meta:
        model = Client
        fields = ("facility_id",)

    def at_facility(self, rows: QuerySet[Client], name: str, value: UUID) -> QuerySet[Client]:
        """Known there."""
        known = ClientFacility.objects.filter(facility_id=value).values("client_id")
        return rows.filter(id__in=known)


class ClientFilter(PlaceFilter):
    """Filters for desk and practitioners: where history and consent stand too."""

    history = django_filters.ChoiceFilter(
        choices=[("none", "none"), ("reported", "reported"), ("reviewed", "reviewed")],
        method="by_history",
        help_text="Where the health history stands, e.g. `reported` for those to be reviewed.",
    )
    consent_until_before = django_filters.DateFilter(
        method="by_consent", help_text="Clients whose touch consent ends before this day."
    )

    class Meta:
        model = Client
        fields = ("facility_id", "history", "consent_until_before")

    def by_history(self, rows: QuerySet[Client], name: str, value: str) -> QuerySet[Client]:
        """By the state of the health history."""
        if value == "none":
            return rows.exclude(id__in=HealthHistory.objects.values("id"))
        return rows.filter(id__in=HealthHistory.objects.filter(status=value).values("id"))

    def by_consent(self, rows: QuerySet[Client], name: str, value: date) -> QuerySet[Client]:
        """By the last day of a granted consent."""
        ending = Consent.objects.filter(status="granted", until__lt=value)
        return rows.filter(id__in=ending.values("id"))


@extend_schema_view(
    get=described("List clients", gives=ClientShown(many=True), tags=["clients"]),
    post=described(
        "Register a client",
        takes=ClientForm,
        gives=ClientDetail,
        status=201,
        idempotency="optional",
        tags=["clients"],
    ),
)
class Clients(ListView):
    """Clients of the facilities that I see, by family name."""

    roles = {"GET": ANY_STAFF, "POST": DESK}
    serializer_class = ClientShown
    order = ("by_family", "id")

    @property
    def filterset_class(self) -> type[FilterSet]:
        """Billing filters by place alone."""
        billing = self.actor(self.request).role is Role.BILLING
        return PlaceFilter if billing else ClientFilter

    def get_queryset(self) -> QuerySet[Client]:
        """Mine."""
        return client_list(self.actor(self.request))

    def get(self, request: Request) -> Response:
        """One page."""
        return self.listed(request)

    def post(self, request: Request) -> Any:
        """Register her."""
        details = ClientForm.checked(request.data)
        client_id = new_client_stream()

        def act(work: Work) -> Answer:
            version = client_register(work, client_id=client_id, details=details).version
            row = client_get(work.actor, client_id)
            return Answer(ClientDetail(shown.client(row, version)).data, 201, version)

        return self.command(request, act, status=201)


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
        return lambda client_id, version: shown.client(client_get(actor, client_id), version)
