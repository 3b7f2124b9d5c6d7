"""Touch consent: read, given, declined, withdrawn."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from clients.api import shown
from clients.api.clientview import ClientView
from clients.api.forms.consent import ConsentShown, EndForm, GiveConsent
from clients.services import consent_decline, consent_record, consent_withdraw
from practice.api.describe import described
from practice.api.roles import CARE


@extend_schema_view(
    get=described("Read the touch consent", gives=ConsentShown, refuses=(404,), tags=["consent"]),
    post=described(
        "Record a touch consent",
        takes=GiveConsent,
        gives=ConsentShown,
        status=201,
        refuses=(404, 409),
        if_match="optional",
        idempotency="optional",
        description="It takes the place of the one before.",
        tags=["consent"],
    ),
)
class TouchConsent(ClientView):
    """What may be touched, by which techniques, by whom and until when."""

    roles = {"GET": CARE, "POST": CARE}
    form = ConsentShown

    def get(self, request: Request, client_id: UUID) -> Response:
        """As it stands."""
        return self.read(request, client_id, "touch consent", shown.consent)

    def post(self, request: Request, client_id: UUID) -> Any:
        """Record it."""
        given, version = GiveConsent.read(request.data), self.if_match(request)
        return self.change(
            request,
            client_id,
            lambda work: consent_record(work, client_id=client_id, command=given, if_match=version),
            shown.consent,
            status=201,
        )


@extend_schema_view(
    post=described(
        "Withdraw the touch consent",
        takes=EndForm,
        gives=ConsentShown,
        refuses=(404,),
        idempotency="optional",
        description="Never refused for a stale version; future sessions are judged again.",
        tags=["consent"],
    )
)
class Withdrawal(ClientView):
    """She withdraws her consent."""

    roles = {"POST": CARE}
    form = ConsentShown

    def post(self, request: Request, client_id: UUID) -> Any:
        """Record it."""
        ended = EndForm.read(request.data)
        return self.change(
            request,
            client_id,
            lambda work: consent_withdraw(work, client_id=client_id, command=ended),
            shown.consent,
        )


@extend_schema_view(
    post=described(
        "Record that the client declined touch",
        takes=EndForm,
        gives=ConsentShown,
        refuses=(404,),
        idempotency="optional",
        tags=["consent"],
    )
)
class Refusal(ClientView):
    """She was asked and said no."""

    roles = {"POST": CARE}
    form = ConsentShown

    def post(self, request: Request, client_id: UUID) -> Any:
        """Record it."""
        ended = EndForm.read(request.data)
        return self.change(
            request,
            client_id,
            lambda work: consent_decline(work, client_id=client_id, command=ended),
            shown.consent,
        )
