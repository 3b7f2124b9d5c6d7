"""The starter rows of law that a facility's jurisdiction is offered."""

from __future__ import annotations

from uuid import UUID

from practice.http.commands import Command
from practice.http.roles import OWNER_ONLY
from practice.law.models import ConsentAge, JurisdictionLimit
from practice.law.serializers import ConsentAgeOutputSerializer, JurisdictionLimitOutputSerializer
from practice.law.services import starter_consent_ages_accept, starter_limits_accept
from practice.people_and_places.selectors.facilities import facility_get
from practice.people_and_places.views.facilities import OfFacilityView
from practice.work.unit_of_work import UnitOfWork


def accept(uow: UnitOfWork, *, facility_id: UUID) -> list[JurisdictionLimit]:
    """Take over the rows for the jurisdiction of a facility."""
    return starter_limits_accept(uow, code=facility_get(uow.actor, facility_id).jurisdiction)


def accept_consent_ages(uow: UnitOfWork, *, facility_id: UUID) -> list[ConsentAge]:
    """Take over the ages of consent for the jurisdiction of a facility."""
    return starter_consent_ages_accept(uow, code=facility_get(uow.actor, facility_id).jurisdiction)


class StarterLimitsView(OfFacilityView):
    """The starter table for one facility."""

    post = Command(
        "Take over the starter limits of a facility's jurisdiction",
        tag="places",
        roles=OWNER_ONLY,
        output=JurisdictionLimitOutputSerializer(many=True),
        status=201,
        errors=(404, 409),
        execute=accept,
        render=lambda _uow, rows: JurisdictionLimitOutputSerializer(rows, many=True).data,
        description="Rows with source, unverified: verify each with your board, then PATCH its"
        " `verified_on`.",
    )


class StarterConsentAgesView(OfFacilityView):
    """The starter age of medical consent for one facility."""

    post = Command(
        "Take over the starter age of consent of a facility's jurisdiction",
        tag="places",
        roles=OWNER_ONLY,
        output=ConsentAgeOutputSerializer(many=True),
        status=201,
        errors=(404, 409),
        execute=accept_consent_ages,
        render=lambda _uow, rows: ConsentAgeOutputSerializer(rows, many=True).data,
        description="A row with source, unverified: until its `verified_on` is set it lowers no"
        " age. Verify it with your board.",
    )
