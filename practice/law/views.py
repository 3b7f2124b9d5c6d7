"""The law on record: what jurisdictions let credentials do."""

from __future__ import annotations

from typing import Any
from uuid import UUID

import django_filters
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from practice.core.reasons import existing
from practice.core.terms import Activity, Credential
from practice.http.filters import FilterSet
from practice.http.openapi import endpoint
from practice.http.roles import ANY_STAFF, OWNER_ONLY
from practice.http.views import ApiView, CommandResponse, ListView
from practice.law import services as limits
from practice.law.models import JurisdictionLimit
from practice.law.serializers import JurisdictionLimitSerializer


class JurisdictionLimitFilter(FilterSet):
    """Filters of the list of limits."""

    jurisdiction = django_filters.CharFilter(help_text="ISO 3166-2 code, e.g. `US-CA`.")
    credential = django_filters.ChoiceFilter(
        choices=[(c.value, c.value) for c in Credential], help_text="Limits of one credential."
    )
    activity = django_filters.ChoiceFilter(
        choices=[(a.value, a.value) for a in Activity], help_text="Limits on one activity."
    )

    class Meta:
        model = JurisdictionLimit
        fields = ("jurisdiction", "credential", "activity")


@extend_schema_view(
    get=endpoint(
        "List limits by jurisdiction",
        response=JurisdictionLimitSerializer(many=True),
        tags=["practice"],
    ),
    post=endpoint(
        "Record a limit of a jurisdiction",
        request=JurisdictionLimitSerializer,
        response=JurisdictionLimitSerializer,
        status=201,
        idempotency="optional",
        tags=["practice"],
    ),
)
class JurisdictionLimitListView(ListView):
    """What jurisdictions let credentials do, with source and date verified."""

    roles = {"GET": ANY_STAFF, "POST": OWNER_ONLY}
    serializer_class = JurisdictionLimitSerializer
    filterset_class = JurisdictionLimitFilter
    order = ("jurisdiction", "credential", "activity", "pathology", "effective_from", "id")

    def get_queryset(self) -> Any:
        """All rows, past ones too."""
        return JurisdictionLimit.objects.all()

    def get(self, request: Request) -> Response:
        """One page."""
        return self.list_response(request)

    def post(self, request: Request) -> Any:
        """A new row."""
        given = JurisdictionLimitSerializer.checked(request.data)

        def execute(uow: Any) -> CommandResponse:
            row = limits.limit_add(uow, given)
            return CommandResponse(JurisdictionLimitSerializer(row).data, version=row.revision)

        return self.command(request, execute, status=201)


@extend_schema_view(
    get=endpoint(
        "Read a limit", response=JurisdictionLimitSerializer, errors=(404,), tags=["practice"]
    ),
    patch=endpoint(
        "Correct a limit",
        request=JurisdictionLimitSerializer(partial=True),
        response=JurisdictionLimitSerializer,
        errors=(404, 409),
        if_match="optional",
        tags=["practice"],
    ),
)
class JurisdictionLimitDetailView(ApiView):
    """One row of law."""

    roles = {"GET": ANY_STAFF, "PATCH": OWNER_ONLY}

    def get(self, request: Request, limit_id: UUID) -> Response:
        """The row with its revision as ETag."""
        row = existing(JurisdictionLimit.objects.filter(pk=limit_id).first(), "limit")
        return self.read_response(JurisdictionLimitSerializer(row).data, version=row.revision)

    def patch(self, request: Request, limit_id: UUID) -> Any:
        """Change what is given; future sessions are judged again."""
        given = JurisdictionLimitSerializer.checked(request.data, partial=True)
        match = self.if_match(request)

        def execute(uow: Any) -> CommandResponse:
            row = limits.limit_change(uow, limit_id, given, match)
            return CommandResponse(JurisdictionLimitSerializer(row).data, version=row.revision)

        return self.command(request, execute)
