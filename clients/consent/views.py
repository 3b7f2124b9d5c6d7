"""Touch consent: read, given, declined, withdrawn."""

from __future__ import annotations

from uuid import UUID

from rest_framework.request import Request
from rest_framework.response import Response

from clients.consent.rendering import serialize_consent
from clients.consent.serializers import (
    ConsentEndInputSerializer,
    ConsentInputSerializer,
    ConsentOutputSerializer,
)
from clients.consent.services import consent_decline, consent_record, consent_withdraw
from clients.identity.client_views import ClientRecordView, record_renderer
from practice.http.commands import Command
from practice.http.openapi import endpoint
from practice.http.roles import CARE


class TouchConsentView(ClientRecordView):
    """What may be touched, by which techniques, by whom and until when."""

    roles = {"GET": CARE}
    logged_as = "touch consent"

    @endpoint(
        "Read the touch consent", response=ConsentOutputSerializer, errors=(404,), tags=["consent"]
    )
    def get(self, request: Request, client_id: UUID) -> Response:
        return self.read(request, client_id, serialize_consent)

    post = Command(
        "Record a touch consent",
        tag="consent",
        roles=CARE,
        input=ConsentInputSerializer,
        output=ConsentOutputSerializer,
        status=201,
        errors=(404, 409),
        if_match="optional",
        execute=consent_record,
        render=record_renderer(serialize_consent),
        description="It takes the place of the one before.",
    )


class ConsentWithdrawalView(ClientRecordView):
    """The client withdraws the consent."""

    post = Command(
        "Withdraw the touch consent",
        tag="consent",
        roles=CARE,
        input=ConsentEndInputSerializer,
        output=ConsentOutputSerializer,
        errors=(404,),
        execute=consent_withdraw,
        render=record_renderer(serialize_consent),
        description="Never refused for a stale version; future sessions are re-evaluated.",
    )


class ConsentRefusalView(ClientRecordView):
    """The client was asked and said no."""

    post = Command(
        "Record that the client declined touch",
        tag="consent",
        roles=CARE,
        input=ConsentEndInputSerializer,
        output=ConsentOutputSerializer,
        errors=(404,),
        execute=consent_decline,
        render=record_renderer(serialize_consent),
        description="Record it.",
    )
