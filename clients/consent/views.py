"""Touch consent: read, given, declined, withdrawn."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from clients.consent.rendering import serialize_consent
from clients.consent.serializers import (
    ConsentEndInputSerializer,
    ConsentInputSerializer,
    ConsentOutputSerializer,
)
from clients.consent.services import consent_decline, consent_record, consent_withdraw
from clients.identity.client_views import ClientRecordView
from practice.http.openapi import endpoint
from practice.http.roles import CARE


@extend_schema_view(
    get=endpoint(
        "Read the touch consent", response=ConsentOutputSerializer, errors=(404,), tags=["consent"]
    ),
    post=endpoint(
        "Record a touch consent",
        request=ConsentInputSerializer,
        response=ConsentOutputSerializer,
        status=201,
        errors=(404, 409),
        if_match="optional",
        idempotency="optional",
        description="It takes the place of the one before.",
        tags=["consent"],
    ),
)
class TouchConsentView(ClientRecordView):
    """What may be touched, by which techniques, by whom and until when."""

    roles = {"GET": CARE, "POST": CARE}
    output_serializer = ConsentOutputSerializer

    def get(self, request: Request, client_id: UUID) -> Response:
        """As it stands."""
        return self.read(request, client_id, "touch consent", serialize_consent)

    def post(self, request: Request, client_id: UUID) -> Any:
        """Record it."""
        given, version = ConsentInputSerializer.read(request.data), self.if_match(request)
        return self.change(
            request,
            client_id,
            lambda uow: consent_record(uow, client_id=client_id, command=given, if_match=version),
            serialize_consent,
            status=201,
        )


@extend_schema_view(
    post=endpoint(
        "Withdraw the touch consent",
        request=ConsentEndInputSerializer,
        response=ConsentOutputSerializer,
        errors=(404,),
        idempotency="optional",
        description="Never refused for a stale version; future sessions are judged again.",
        tags=["consent"],
    )
)
class ConsentWithdrawalView(ClientRecordView):
    """She withdraws her consent."""

    roles = {"POST": CARE}
    output_serializer = ConsentOutputSerializer

    def post(self, request: Request, client_id: UUID) -> Any:
        """Record it."""
        ended = ConsentEndInputSerializer.read(request.data)
        return self.change(
            request,
            client_id,
            lambda uow: consent_withdraw(uow, client_id=client_id, command=ended),
            serialize_consent,
        )


@extend_schema_view(
    post=endpoint(
        "Record that the client declined touch",
        request=ConsentEndInputSerializer,
        response=ConsentOutputSerializer,
        errors=(404,),
        idempotency="optional",
        tags=["consent"],
    )
)
class ConsentRefusalView(ClientRecordView):
    """She was asked and said no."""

    roles = {"POST": CARE}
    output_serializer = ConsentOutputSerializer

    def post(self, request: Request, client_id: UUID) -> Any:
        """Record it."""
        ended = ConsentEndInputSerializer.read(request.data)
        return self.change(
            request,
            client_id,
            lambda uow: consent_decline(uow, client_id=client_id, command=ended),
            serialize_consent,
        )
