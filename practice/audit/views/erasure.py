"""Erasure of a record, the log of reads and refusals, checks of the log, due work."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any
from uuid import UUID

import msgspec
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from practice.audit import services as erasure
from practice.audit.domain.state import ERASURE, ErasureStatus
from practice.audit.open_business import erasure_warnings
from practice.audit.selectors import retention_of
from practice.audit.serializers import (
    ErasureInputSerializer,
    ErasureOutputSerializer,
)
from practice.core.terms import Role
from practice.http.base_views import ApiView
from practice.http.openapi import endpoint
from practice.http.roles import CLINICAL, OWNER_ONLY
from practice.people_and_places.models.staff import Staff
from practice.work import loading
from practice.work.unit_of_work import UnitOfWork


def _erasure_state(closing: ErasureStatus) -> str:
    if closing.key_destroyed:
        return "key_destroyed"
    if closing.closed:
        return "closed"
    return "ordered" if closing.erasure_id else "none"


def _serialize_erasure(client_id: UUID, closing: ErasureStatus) -> Any:
    """The state, and what should be known before it goes on: open business, due work."""
    ahead = [] if closing.closed else erasure_warnings(client_id)
    shown = {
        **asdict(closing),
        "state": _erasure_state(closing),
        "retained_until": closing.retained_until or retention_of(client_id),
        "warnings": [msgspec.structs.asdict(one) for one in ahead],
    }
    return ErasureOutputSerializer(shown).data


def _erasure_after(uow: UnitOfWork, client_id: UUID) -> Any:
    return _serialize_erasure(client_id, uow.states(client_id, (ERASURE,))[ERASURE])


@extend_schema_view(
    get=endpoint(
        "Where the erasure of a record stands",
        response=ErasureOutputSerializer,
        errors=(404,),
        tags=["owner"],
    ),
    post=endpoint(
        "Order the erasure of a record",
        request=ErasureInputSerializer,
        response=ErasureOutputSerializer,
        errors=(404, 409),
        idempotency="optional",
        description="A second person must agree before anything is erased. `warnings` name what"
        " stands open. Before the retention has passed it takes `before_retention: true`.",
        tags=["owner"],
    ),
    delete=endpoint(
        "Take the order back", response=ErasureOutputSerializer, errors=(404, 409), tags=["owner"]
    ),
)
class ErasureView(ApiView):
    """The order to erase a record."""

    roles = {"GET": CLINICAL, "POST": OWNER_ONLY, "DELETE": OWNER_ONLY}

    def get(self, request: Request, client_id: UUID) -> Response:
        """None, ordered, closed, or the key destroyed."""
        return self.read_response(
            _serialize_erasure(client_id, loading.load_states(client_id, (ERASURE,))[ERASURE])
        )

    def post(self, request: Request, client_id: UUID) -> Any:
        """Order it, with the reason."""
        given = ErasureInputSerializer.checked(request.data)

        def execute(uow: UnitOfWork) -> Any:
            erasure.erasure_order(uow, client_id=client_id, **given)
            return _erasure_after(uow, client_id)

        return self.command(request, execute)

    def delete(self, request: Request, client_id: UUID) -> Any:
        """Take it back while that is still possible."""

        def execute(uow: UnitOfWork) -> Any:
            erasure.erasure_withdraw(uow, client_id=client_id)
            return _erasure_after(uow, client_id)

        return self.command(request, execute)


@extend_schema_view(
    post=endpoint(
        "Agree to the erasure of a record, as the second person",
        response=ErasureOutputSerializer,
        errors=(404, 409),
        idempotency="optional",
        description="Another owner; where there is one owner, a practitioner. Cannot be undone.",
        tags=["owner"],
    )
)
class ErasureApprovalView(ApiView):
    """The second person's word."""

    roles = {"POST": CLINICAL}

    def post(self, request: Request, client_id: UUID) -> Any:
        """Close the record; its key is destroyed by the next tick."""

        def execute(uow: UnitOfWork) -> Any:
            owners = Staff.objects.filter(role=Role.OWNER, is_active=True).count()
            erasure.erasure_approve(uow, client_id=client_id, owners=owners)
            return _erasure_after(uow, client_id)

        return self.command(request, execute)
