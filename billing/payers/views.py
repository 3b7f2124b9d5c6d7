"""Payers and the practice's service codes."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from billing.payers import services
from billing.payers.filters import PayerFilter, ServiceCodeFilter
from billing.payers.models import Payer
from billing.payers.selectors import payer_get, payer_list, service_code_get, service_code_list
from billing.payers.serializers import (
    PayerChangeInputSerializer,
    PayerInputSerializer,
    PayerNameOutputSerializer,
    PayerOutputSerializer,
    ServiceCodeSerializer,
)
from practice.core.terms import Role
from practice.http.base_views import ListView
from practice.http.commands import Command, CommandView
from practice.http.openapi import endpoint
from practice.http.representations import Representation, row_renderer
from practice.http.roles import ANY_STAFF, BILLING
from practice.work.unit_of_work import UnitOfWork


def serializer_for(role: Role) -> type[PayerNameOutputSerializer]:
    """Owner and billing see a payer's settings; desk and practitioners its name."""
    return PayerInputSerializer if role in BILLING else PayerNameOutputSerializer


def render_payer(_uow: UnitOfWork, row: Payer) -> Representation:
    """A payer as it stands after a command, with its map of service codes."""
    return Representation(PayerInputSerializer(payer_get(row.pk)).data, row.revision)


@extend_schema_view(
    get=endpoint(
        "List payers",
        response=PayerOutputSerializer(many=True),
        description=(
            "Owner and billing read the rules of each, with those of earlier periods; front "
            "desk and practitioners id, name and whether it is in use."
        ),
        tags=["billing"],
    )
)
class PayerListView(CommandView, ListView):
    """Who pays, and by which rules."""

    roles = {"GET": ANY_STAFF}
    names_no_client = True
    filterset_class = PayerFilter
    order = ("name", "id")

    def get_queryset(self) -> Any:
        return payer_list()

    def get_serializer_class(self) -> type[PayerNameOutputSerializer]:
        return serializer_for(self.actor(self.request).role)

    post = Command(
        "Add a payer",
        tag="billing",
        roles=BILLING,
        input=PayerInputSerializer,
        output=PayerInputSerializer,
        status=201,
        errors=(409,),
        execute=services.payer_add,
        render=render_payer,
        description=(
            "With how it makes units from minutes, what it counts as a visit, which "
            "credentials it pays, and the service code of each part. Its rules hold for all "
            "days until they are changed from a day on. 409 where the name is taken."
        ),
    )


class PayerDetailView(CommandView):
    """One payer with its rule of units."""

    roles = {"GET": ANY_STAFF}
    names_no_client = True

    @endpoint(
        "Read a payer",
        response=PayerOutputSerializer,
        errors=(404,),
        description=(
            "Owner and billing read its rules with those of earlier periods; front desk and "
            "practitioners its name alone. Its revision, for `If-Match`, is the ETag."
        ),
        tags=["billing"],
    )
    def get(self, request: Request, payer_id: UUID) -> Response:
        """The payer with its revision as ETag."""
        row = payer_get(payer_id)
        shown = serializer_for(self.actor(request).role)(row).data
        return self.read_response(shown, version=row.revision)

    patch = Command(
        "Change a payer",
        tag="billing",
        roles=BILLING,
        input=PayerChangeInputSerializer,
        partial=True,
        output=PayerInputSerializer,
        errors=(404, 409),
        if_match="required",
        execute=services.payer_change,
        render=render_payer,
        description="How units and visits are made, whose time is paid and the map of codes hold "
        "from a day on; a day is calculated by the rules of that day, and what was calculated "
        "before stands.",
    )


@extend_schema_view(
    get=endpoint(
        "List service codes",
        response=ServiceCodeSerializer(many=True),
        description=(
            "The practice's own, with its own descriptions, timed or once a day; those out "
            "of use too. Payers map the parts of a session to them."
        ),
        tags=["billing"],
    )
)
class ServiceCodeListView(CommandView, ListView):
    """The practice's service codes."""

    roles = {"GET": ANY_STAFF}
    names_no_client = True
    serializer_class = ServiceCodeSerializer
    filterset_class = ServiceCodeFilter
    order = ("code", "id")

    def get_queryset(self) -> Any:
        return service_code_list()

    post = Command(
        "Add a service code",
        tag="billing",
        roles=BILLING,
        input=ServiceCodeSerializer,
        output=ServiceCodeSerializer,
        status=201,
        errors=(409,),
        execute=services.service_code_add,
        render=row_renderer(ServiceCodeSerializer),
        description=(
            "Described in the practice's own words. It earns nothing until a payer's map "
            "names it. 409 where it is on record; it cannot be renamed later, since visits "
            "bear it."
        ),
    )


class ServiceCodeDetailView(CommandView):
    """One service code of the practice."""

    roles = {"GET": ANY_STAFF}
    names_no_client = True

    @endpoint(
        "Read a service code",
        response=ServiceCodeSerializer,
        errors=(404,),
        description=(
            "Its description, whether it counts by the minute, and whether it is in use. "
            "Its revision, for `If-Match`, is the ETag."
        ),
        tags=["billing"],
    )
    def get(self, request: Request, code_id: UUID) -> Response:
        """The code with its revision as ETag."""
        row = service_code_get(code_id)
        return self.read_response(ServiceCodeSerializer(row).data, version=row.revision)

    patch = Command(
        "Change a service code's description, or take it out of use",
        tag="billing",
        roles=BILLING,
        input=ServiceCodeSerializer,
        example={"description": "stretching by hand, 15 min"},
        partial=True,
        output=ServiceCodeSerializer,
        errors=(404,),
        if_match="required",
        execute=services.service_code_change,
        render=row_renderer(ServiceCodeSerializer),
        description=(
            "The code and whether it is timed stay, since visits and authorizations name it "
            "(400). Days calculated before are not touched."
        ),
    )
