"""Who pays for themself."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from rest_framework.request import Request
from rest_framework.response import Response

from billing.payers.selectors import practice_today
from billing.self_pay.selectors import pays_for_themself, self_pay_list
from billing.self_pay.serializers import SelfPayInputSerializer, SelfPayOutputSerializer
from billing.self_pay.services import self_pay_state
from clients.identity.client_views import ClientRecordView, record_renderer
from practice.core.terms import Role
from practice.http.commands import Command
from practice.http.openapi import endpoint
from practice.http.roles import ANY_STAFF, OFFICE


def serialize_self_pay(_role: Role, client_id: UUID, version: int) -> Any:
    """Whether a client pays for themself today, and what was stated."""
    shown = {
        "self_paying": pays_for_themself(client_id, practice_today()),
        "statements": self_pay_list(client_id),
        "version": version,
    }
    return SelfPayOutputSerializer(shown).data


class SelfPayView(ClientRecordView):
    """Whether a client pays for themself."""

    roles = {"GET": ANY_STAFF}
    logged_as = "self-payment"

    @endpoint(
        "Read whether a client pays for themself",
        response=SelfPayOutputSerializer,
        errors=(404,),
        description="By the latest statement whose day has come, with every earlier one and its "
        "reason. Nothing stated: not a self-payer.",
        tags=["authorizations"],
    )
    def get(self, request: Request, client_id: UUID) -> Response:
        return self.read(request, client_id, serialize_self_pay)

    post = Command(
        "State that a client pays for themself",
        tag="authorizations",
        roles=OFFICE,
        input=SelfPayInputSerializer,
        output=SelfPayOutputSerializer,
        status=201,
        errors=(404, 409),
        execute=self_pay_state,
        render=record_renderer(serialize_self_pay),
        description="From a day on, or not any more (`self_paying` false). Booking then warns of "
        "no payer, and visits without one stay out of the list of those not covered. What an "
        "authorization covers it covers as before.",
    )
