"""The starter rows of law that a facility's jurisdiction is offered."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request

from practice.http.openapi import endpoint
from practice.http.roles import OWNER_ONLY
from practice.http.views import ApiView
from practice.law.serializers import JurisdictionLimitSerializer
from practice.law.services import starter_limits_accept
from practice.people_and_places.selectors.facilities import facility_get


@extend_schema_view(
    post=endpoint(
        "Take over the starter limits of a facility's jurisdiction",
        response=JurisdictionLimitSerializer(many=True),
        status=201,
        errors=(404, 409),
        idempotency="optional",
        description="Rows with source, unverified: verify each with your board, then PATCH its"
        " `verified_on`.",
        tags=["places"],
    )
)
class StarterLimitsView(ApiView):
    """The starter table for one facility."""

    roles = {"POST": OWNER_ONLY}

    def post(self, request: Request, facility_id: UUID) -> Any:
        """Copy the rows offered into the practice's own table."""
        return self.command(
            request,
            lambda uow: (
                JurisdictionLimitSerializer(
                    starter_limits_accept(uow, facility_get(uow.actor, facility_id).jurisdiction),
                    many=True,
                ).data
            ),
            status=201,
        )
