"""Provider preference and the exceptions that the client agreed to."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from clients.identity.client_views import ClientRecordView
from clients.preference.rendering import serialize_preference
from clients.preference.serializers import (
    PreferenceExceptionInputSerializer,
    ProviderPreferenceInputSerializer,
    ProviderPreferenceOutputSerializer,
)
from clients.preference.services import exception_agree, preference_state
from practice.http.openapi import endpoint
from practice.http.roles import CARE


@extend_schema_view(
    get=endpoint(
        "Read the provider preference",
        response=ProviderPreferenceOutputSerializer,
        errors=(404,),
        tags=["consent"],
    ),
    put=endpoint(
        "State the provider preference",
        request=ProviderPreferenceInputSerializer,
        response=ProviderPreferenceOutputSerializer,
        errors=(404, 409),
        if_match="optional",
        idempotency="optional",
        description="Exceptions agreed to an earlier preference end.",
        tags=["consent"],
    ),
)
class ProviderPreferenceView(ClientRecordView):
    """Whom she prefers, for all work or hands-on work only."""

    roles = {"GET": CARE, "PUT": CARE}
    output_serializer = ProviderPreferenceOutputSerializer

    def get(self, request: Request, client_id: UUID) -> Response:
        """As it stands."""
        return self.read(request, client_id, "provider preference", serialize_preference)

    def put(self, request: Request, client_id: UUID) -> Any:
        """State it."""
        stated, version = (
            ProviderPreferenceInputSerializer.read(request.data),
            self.if_match(request),
        )
        return self.change(
            request,
            client_id,
            lambda uow: preference_state(
                uow, client_id=client_id, command=stated, if_match=version
            ),
            serialize_preference,
        )


@extend_schema_view(
    post=endpoint(
        "Record an exception that the client agreed to",
        request=PreferenceExceptionInputSerializer,
        response=ProviderPreferenceOutputSerializer,
        status=201,
        errors=(404, 409),
        if_match="optional",
        idempotency="optional",
        description="For one session (by id or day) or until a day; it is the client's own.",
        tags=["consent"],
    )
)
class PreferenceExceptionListView(ClientRecordView):
    """Her own exception for one practitioner."""

    roles = {"POST": CARE}
    output_serializer = ProviderPreferenceOutputSerializer

    def post(self, request: Request, client_id: UUID) -> Any:
        """Record it."""
        agreed, version = (
            PreferenceExceptionInputSerializer.read(request.data),
            self.if_match(request),
        )
        return self.change(
            request,
            client_id,
            lambda uow: exception_agree(uow, client_id=client_id, command=agreed, if_match=version),
            serialize_preference,
            status=201,
        )
