"""Payers and the practice's service codes."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from billing.api.filters.payers import PayerFilter, ServiceCodeFilter
from billing.api.forms.payers import PayerForm, PayerName, PayerShown, ServiceCodeForm
from billing.models.payers import ServiceCode
from billing.selectors.payers import payer_get, payer_list, service_code_get
from billing.services import payers
from practice.api.describe import described
from practice.api.roles import ANY_STAFF, BILLING
from practice.api.views import Answer, ApiView, ListView
from practice.domain.terms import Role


def form_for(role: Role) -> type[PayerName]:
    """Owner and billing see a payer's settings; desk and practitioners its name."""
    return PayerForm if role in BILLING else PayerName


@extend_schema_view(
    get=described(
        "List payers",
        gives=PayerShown(many=True),
        description="Desk and practitioners see id, name and is_active.",
        tags=["billing"],
    ),
    post=described(
        "Add a payer",
        takes=PayerForm,
        gives=PayerForm,
        status=201,
        refuses=(409,),
        idempotency="optional",
        tags=["billing"],
    ),
)
class Payers(ListView):
    """Who pays, and by which rules."""

    roles = {"GET": ANY_STAFF, "POST": BILLING}
    filterset_class = PayerFilter
    order = ("name", "id")

    def get_queryset(self) -> Any:
        """All payers."""
        return payer_list()

    def get_serializer_class(self) -> type[PayerName]:
        """By role."""
        return form_for(self.actor(self.request).role)

    def get(self, request: Request) -> Response:
        """One page."""
        return self.listed(request)

    def post(self, request: Request) -> Any:
        """A new payer."""
        given = PayerForm.checked(request.data)

        def act(work: Any) -> Answer:
            row = payer_get(payers.payer_add(work, given).pk)
            return Answer(PayerForm(row).data, version=row.revision)

        return self.command(request, act, status=201)


@extend_schema_view(
    get=described("Read a payer", gives=PayerShown, refuses=(404,), tags=["billing"]),
    patch=described(
        "Change a payer",
        takes=PayerForm(partial=True),
        gives=PayerForm,
        refuses=(404, 409),
        if_match="optional",
        tags=["billing"],
    ),
)
class OnePayer(ApiView):
    """One payer."""

    roles = {"GET": ANY_STAFF, "PATCH": BILLING}

    def get(self, request: Request, payer_id: UUID) -> Response:
        """The payer with its revision as ETag."""
        row = payer_get(payer_id)
        shown = form_for(self.actor(request).role)(row).data
        return self.shown(shown, version=row.revision)

    def patch(self, request: Request, payer_id: UUID) -> Any:
        """Change what is given; days reckoned before stand."""
        given = PayerForm.checked(request.data, partial=True)
        match = self.if_match(request)

        def act(work: Any) -> Answer:
            row = payer_get(payers.payer_change(work, payer_id, given, match).pk)
            return Answer(PayerForm(row).data, version=row.revision)

        return self.command(request, act)


@extend_schema_view(
    get=described("List service codes", gives=ServiceCodeForm(many=True), tags=["billing"]),
    post=described(
        "Add a service code",
        takes=ServiceCodeForm,
        gives=ServiceCodeForm,
        status=201,
        refuses=(409,),
        idempotency="optional",
        description="The practice's own codes with its own descriptions.",
        tags=["billing"],
    ),
)
class ServiceCodes(ListView):
    """The practice's service codes."""

    roles = {"GET": ANY_STAFF, "POST": BILLING}
    serializer_class = ServiceCodeForm
    filterset_class = ServiceCodeFilter
    order = ("code", "id")

    def get_queryset(self) -> Any:
        """All codes."""
        return ServiceCode.objects.all()

    def get(self, request: Request) -> Response:
        """One page."""
        return self.listed(request)

    def post(self, request: Request) -> Any:
        """A new code."""
        given = ServiceCodeForm.checked(request.data)

        def act(work: Any) -> Answer:
            row = payers.service_code_add(work, given)
            return Answer(ServiceCodeForm(row).data, version=row.revision)

        return self.command(request, act, status=201)


@extend_schema_view(
    get=described("Read a service code", gives=ServiceCodeForm, refuses=(404,), tags=["billing"]),
    patch=described(
        "Change a service code's description, or take it out of use",
        takes=ServiceCodeForm(partial=True),
        gives=ServiceCodeForm,
        refuses=(404,),
        if_match="optional",
        tags=["billing"],
    ),
)
class OneServiceCode(ApiView):
    """One service code."""

    roles = {"GET": ANY_STAFF, "PATCH": BILLING}

    def get(self, request: Request, code_id: UUID) -> Response:
        """The code with its revision as ETag."""
        row = service_code_get(code_id)
        return self.shown(ServiceCodeForm(row).data, version=row.revision)

    def patch(self, request: Request, code_id: UUID) -> Any:
        """Its description and use; the code itself stays."""
        given = ServiceCodeForm.checked(request.data, partial=True)
        match = self.if_match(request)

        def act(work: Any) -> Answer:
            row = payers.service_code_change(work, code_id, given, match)
            return Answer(ServiceCodeForm(row).data, version=row.revision)

        return self.command(request, act)
