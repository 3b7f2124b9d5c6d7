"""Payers and the practice's service codes."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from billing.payers import services as payers
from billing.payers.filters import PayerFilter, ServiceCodeFilter
from billing.payers.models import ServiceCode
from billing.payers.selectors import payer_get, payer_list, service_code_get
from billing.payers.serializers import (
    PayerChangeInputSerializer,
    PayerInputSerializer,
    PayerNameOutputSerializer,
    PayerOutputSerializer,
    ServiceCodeSerializer,
)
from practice.core.terms import Role
from practice.http.openapi import endpoint
from practice.http.roles import ANY_STAFF, BILLING
from practice.http.views import ApiView, CommandResponse, ListView


def serializer_for(role: Role) -> type[PayerNameOutputSerializer]:
    """Owner and billing see a payer's settings; desk and practitioners its name."""
    return PayerInputSerializer if role in BILLING else PayerNameOutputSerializer


@extend_schema_view(
    get=endpoint(
        "List payers",
        response=PayerOutputSerializer(many=True),
        description="Desk and practitioners see id, name and is_active.",
        tags=["billing"],
    ),
    post=endpoint(
        "Add a payer",
        request=PayerInputSerializer,
        response=PayerInputSerializer,
        status=201,
        errors=(409,),
        idempotency="optional",
        tags=["billing"],
    ),
)
class PayerListView(ListView):
    """Who pays, and by which rules."""

    roles = {"GET": ANY_STAFF, "POST": BILLING}
    filterset_class = PayerFilter
    order = ("name", "id")

    def get_queryset(self) -> Any:
        """All payers."""
        return payer_list()

    def get_serializer_class(self) -> type[PayerNameOutputSerializer]:
        """By role."""
        return serializer_for(self.actor(self.request).role)

    def get(self, request: Request) -> Response:
        """One page."""
        return self.list_response(request)

    def post(self, request: Request) -> Any:
        """A new payer."""
        given = PayerInputSerializer.checked(request.data)

        def execute(uow: Any) -> CommandResponse:
            row = payer_get(payers.payer_add(uow, given).pk)
            return CommandResponse(PayerInputSerializer(row).data, version=row.revision)

        return self.command(request, execute, status=201)


@extend_schema_view(
    get=endpoint("Read a payer", response=PayerOutputSerializer, errors=(404,), tags=["billing"]),
    patch=endpoint(
        "Change a payer",
        request=PayerChangeInputSerializer(partial=True),
        response=PayerInputSerializer,
        errors=(404, 409),
        if_match="optional",
        description="How units and visits are made, whose time is paid and the map of codes hold "
        "from a day on; a day is calculated by the rules of that day.",
        tags=["billing"],
    ),
)
class PayerDetailView(ApiView):
    """One payer."""

    roles = {"GET": ANY_STAFF, "PATCH": BILLING}

    def get(self, request: Request, payer_id: UUID) -> Response:
        """The payer with its revision as ETag."""
        row = payer_get(payer_id)
        shown = serializer_for(self.actor(request).role)(row).data
        return self.read_response(shown, version=row.revision)

    def patch(self, request: Request, payer_id: UUID) -> Any:
        """Change what is given; days reckoned before stand."""
        given = PayerChangeInputSerializer.checked(request.data, partial=True)
        first, match = given.pop("in_force_from", None), self.if_match(request)

        def execute(uow: Any) -> CommandResponse:
            row = payer_get(payers.payer_change(uow, payer_id, given, match, first).pk)
            return CommandResponse(PayerInputSerializer(row).data, version=row.revision)

        return self.command(request, execute)


@extend_schema_view(
    get=endpoint("List service codes", response=ServiceCodeSerializer(many=True), tags=["billing"]),
    post=endpoint(
        "Add a service code",
        request=ServiceCodeSerializer,
        response=ServiceCodeSerializer,
        status=201,
        errors=(409,),
        idempotency="optional",
        description="The practice's own codes with its own descriptions.",
        tags=["billing"],
    ),
)
class ServiceCodeListView(ListView):
    """The practice's service codes."""

    roles = {"GET": ANY_STAFF, "POST": BILLING}
    serializer_class = ServiceCodeSerializer
    filterset_class = ServiceCodeFilter
    order = ("code", "id")

    def get_queryset(self) -> Any:
        """All codes."""
        return ServiceCode.objects.all()

    def get(self, request: Request) -> Response:
        """One page."""
        return self.list_response(request)

    def post(self, request: Request) -> Any:
        """A new code."""
        given = ServiceCodeSerializer.checked(request.data)

        def execute(uow: Any) -> CommandResponse:
            row = payers.service_code_add(uow, given)
            return CommandResponse(ServiceCodeSerializer(row).data, version=row.revision)

        return self.command(request, execute, status=201)


@extend_schema_view(
    get=endpoint(
        "Read a service code", response=ServiceCodeSerializer, errors=(404,), tags=["billing"]
    ),
    patch=endpoint(
        "Change a service code's description, or take it out of use",
        request=ServiceCodeSerializer(partial=True),
        response=ServiceCodeSerializer,
        errors=(404,),
        if_match="optional",
        tags=["billing"],
    ),
)
class ServiceCodeDetailView(ApiView):
    """One service code."""

    roles = {"GET": ANY_STAFF, "PATCH": BILLING}

    def get(self, request: Request, code_id: UUID) -> Response:
        """The code with its revision as ETag."""
        row = service_code_get(code_id)
        return self.read_response(ServiceCodeSerializer(row).data, version=row.revision)

    def patch(self, request: Request, code_id: UUID) -> Any:
        """Its description and use; the code itself stays."""
        given = ServiceCodeSerializer.checked(request.data, partial=True)
        match = self.if_match(request)

        def execute(uow: Any) -> CommandResponse:
            row = payers.service_code_change(uow, code_id, given, match)
            return CommandResponse(ServiceCodeSerializer(row).data, version=row.revision)

        return self.command(request, execute)
