"""The law on record: what jurisdictions let credentials do."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from practice.http.base_views import ListView
from practice.http.commands import Command, CommandView
from practice.http.openapi import endpoint
from practice.http.representations import row_renderer
from practice.http.roles import ANY_STAFF, OWNER_ONLY
from practice.law import services
from practice.law.filters import ConsentAgeFilter, JurisdictionLimitFilter
from practice.law.selectors import consent_age_get, consent_age_list, limit_get, limit_list
from practice.law.serializers import ConsentAgeSerializer, JurisdictionLimitSerializer


@extend_schema_view(
    get=endpoint(
        "List limits by jurisdiction",
        response=JurisdictionLimitSerializer(many=True),
        tags=["practice"],
    )
)
class JurisdictionLimitListView(CommandView, ListView):
    """What jurisdictions let credentials do, with source and date verified."""

    roles = {"GET": ANY_STAFF}
    serializer_class = JurisdictionLimitSerializer
    filterset_class = JurisdictionLimitFilter
    order = ("jurisdiction", "credential", "activity", "pathology", "effective_from", "id")

    def get_queryset(self) -> Any:
        """All rows, past ones too."""
        return limit_list()

    post = Command(
        "Record a limit of a jurisdiction",
        tag="practice",
        roles=OWNER_ONLY,
        input=JurisdictionLimitSerializer,
        output=JurisdictionLimitSerializer,
        status=201,
        execute=services.limit_add,
        render=row_renderer(JurisdictionLimitSerializer),
        description="A new row.",
    )


class JurisdictionLimitDetailView(CommandView):
    """One row of law."""

    roles = {"GET": ANY_STAFF}

    @endpoint(
        "Read a limit", response=JurisdictionLimitSerializer, errors=(404,), tags=["practice"]
    )
    def get(self, request: Request, limit_id: UUID) -> Response:
        """The row with its revision as ETag."""
        row = limit_get(limit_id)
        return self.read_response(JurisdictionLimitSerializer(row).data, version=row.revision)

    patch = Command(
        "Correct a limit",
        tag="practice",
        roles=OWNER_ONLY,
        input=JurisdictionLimitSerializer,
        partial=True,
        output=JurisdictionLimitSerializer,
        errors=(404, 409),
        if_match="required",
        execute=services.limit_change,
        render=row_renderer(JurisdictionLimitSerializer),
        description="Change what is given; future sessions are re-evaluated.",
    )


@extend_schema_view(
    get=endpoint(
        "List ages of medical consent by jurisdiction",
        response=ConsentAgeSerializer(many=True),
        tags=["practice"],
    )
)
class ConsentAgeListView(CommandView, ListView):
    """From which age people consent to health care alone, with source and date verified."""

    roles = {"GET": ANY_STAFF}
    serializer_class = ConsentAgeSerializer
    filterset_class = ConsentAgeFilter
    order = ("jurisdiction", "effective_from", "id")

    def get_queryset(self) -> Any:
        """All rows, past ones too."""
        return consent_age_list()

    post = Command(
        "Record an age of medical consent",
        tag="practice",
        roles=OWNER_ONLY,
        input=ConsentAgeSerializer,
        output=ConsentAgeSerializer,
        status=201,
        execute=services.consent_age_add,
        render=row_renderer(ConsentAgeSerializer),
        description="Below it a guardian's consent to touch is needed. Where a jurisdiction has"
        " no row the setting `consent_age_years` counts. Future sessions are evaluated again.",
    )


class ConsentAgeDetailView(CommandView):
    """One age of consent."""

    roles = {"GET": ANY_STAFF}

    @endpoint(
        "Read an age of medical consent",
        response=ConsentAgeSerializer,
        errors=(404,),
        tags=["practice"],
    )
    def get(self, request: Request, age_id: UUID) -> Response:
        """The row with its revision as ETag."""
        row = consent_age_get(age_id)
        return self.read_response(ConsentAgeSerializer(row).data, version=row.revision)

    patch = Command(
        "Correct an age of medical consent",
        tag="practice",
        roles=OWNER_ONLY,
        input=ConsentAgeSerializer,
        partial=True,
        output=ConsentAgeSerializer,
        errors=(404, 409),
        if_match="required",
        execute=services.consent_age_change,
        render=row_renderer(ConsentAgeSerializer),
        description="Change what is given; future sessions are evaluated again.",
    )
