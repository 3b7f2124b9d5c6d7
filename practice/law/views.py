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
from practice.law.serializers import (
    ConsentAgeOutputSerializer,
    ConsentAgeSerializer,
    JurisdictionLimitOutputSerializer,
    JurisdictionLimitSerializer,
)


@extend_schema_view(
    get=endpoint(
        "List limits by jurisdiction",
        response=JurisdictionLimitOutputSerializer(many=True),
        description=(
            "What a credential may do there, past rows too, each with its source and the "
            "day on which somebody of the practice last verified it; null is a starter row "
            "that nobody did."
        ),
        tags=["practice"],
    )
)
class JurisdictionLimitListView(CommandView, ListView):
    """What jurisdictions let credentials do, with source and date verified."""

    roles = {"GET": ANY_STAFF}
    names_no_client = True
    serializer_class = JurisdictionLimitOutputSerializer
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
        output=JurisdictionLimitOutputSerializer,
        status=201,
        execute=services.limit_add,
        render=row_renderer(JurisdictionLimitOutputSerializer),
        description=(
            "Says whether a credential may do an activity there: allowed, under "
            "supervision, or not. Without any row for a jurisdiction all work there is "
            "self-directed. Sessions to come are evaluated again."
        ),
    )


class JurisdictionLimitDetailView(CommandView):
    """One row of law."""

    roles = {"GET": ANY_STAFF}
    names_no_client = True

    @endpoint(
        "Read a limit",
        response=JurisdictionLimitOutputSerializer,
        errors=(404,),
        description=(
            "What a credential may do, from when until when, under which supervision, with "
            "its source and when it was last verified; null is a starter row that nobody "
            "did. Its revision is the ETag."
        ),
        tags=["practice"],
    )
    def get(self, request: Request, limit_id: UUID) -> Response:
        """The row with its revision as ETag."""
        row = limit_get(limit_id)
        return self.read_response(JurisdictionLimitOutputSerializer(row).data, version=row.revision)

    patch = Command(
        "Correct a limit",
        tag="practice",
        roles=OWNER_ONLY,
        input=JurisdictionLimitSerializer,
        example={"effective_to": "2026-12-31", "verified_on": "2026-03-09"},
        partial=True,
        output=JurisdictionLimitOutputSerializer,
        errors=(404, 409),
        if_match="required",
        execute=services.limit_change,
        render=row_renderer(JurisdictionLimitOutputSerializer),
        description=(
            "Fields left out stay; a row that was wrong is ended or changed, and the "
            "history of changes keeps it. `If-Match` is required. Sessions to come are "
            "evaluated again."
        ),
    )


@extend_schema_view(
    get=endpoint(
        "List ages of medical consent by jurisdiction",
        response=ConsentAgeOutputSerializer(many=True),
        tags=["practice"],
    )
)
class ConsentAgeListView(CommandView, ListView):
    """From which age people consent to health care alone, with source and date verified."""

    roles = {"GET": ANY_STAFF}
    names_no_client = True
    serializer_class = ConsentAgeOutputSerializer
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
        output=ConsentAgeOutputSerializer,
        status=201,
        execute=services.consent_age_add,
        render=row_renderer(ConsentAgeOutputSerializer),
        description="Below it a guardian's consent to touch is needed. Where a jurisdiction has"
        " no row the setting `consent_age_years` counts. Future sessions are evaluated again.",
    )


class ConsentAgeDetailView(CommandView):
    """One age of consent."""

    roles = {"GET": ANY_STAFF}
    names_no_client = True

    @endpoint(
        "Read an age of medical consent",
        response=ConsentAgeOutputSerializer,
        errors=(404,),
        description=(
            "The age in years, since when and until when it counts, with its source and the "
            "day on which somebody last verified it. Its revision is the ETag."
        ),
        tags=["practice"],
    )
    def get(self, request: Request, age_id: UUID) -> Response:
        """The row with its revision as ETag."""
        row = consent_age_get(age_id)
        return self.read_response(ConsentAgeOutputSerializer(row).data, version=row.revision)

    patch = Command(
        "Correct an age of medical consent",
        tag="practice",
        roles=OWNER_ONLY,
        input=ConsentAgeSerializer,
        example={"effective_to": "2026-12-31", "verified_on": "2026-03-09"},
        partial=True,
        output=ConsentAgeOutputSerializer,
        errors=(404, 409),
        if_match="required",
        execute=services.consent_age_change,
        render=row_renderer(ConsentAgeOutputSerializer),
        description=(
            "Fields left out stay, and the history of changes keeps what stood. Sessions to "
            "come are evaluated again."
        ),
    )
