"""Staff accounts: the owner's list of hires and leavers."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from practice.core.reasons import existing
from practice.core.terms import Role
from practice.http.filters import ChoiceFilter, FilterSet, StrictBooleanFilter
from practice.http.openapi import endpoint
from practice.http.roles import OWNER_ONLY
from practice.http.views import ApiView, CommandResponse, ListView, with_warnings
from practice.people_and_places.models.staff import Staff
from practice.people_and_places.offboarding import ended_account_warnings
from practice.people_and_places.serializers.people import (
    StaffInputSerializer,
    StaffOutputSerializer,
    StaffPatchInputSerializer,
)
from practice.people_and_places.services import staff as services


class StaffFilter(FilterSet):
    """Filters of the list of accounts."""

    role = ChoiceFilter(
        choices=[(r.value, r.value) for r in Role], help_text="Accounts of one role."
    )
    is_active = StrictBooleanFilter(help_text="false for leavers.")

    class Meta:
        model = Staff
        fields = ("role", "is_active")


@extend_schema_view(
    get=endpoint("List staff accounts", response=StaffInputSerializer(many=True), tags=["staff"]),
    post=endpoint(
        "Open an account for a new hire",
        request=StaffInputSerializer,
        response=StaffInputSerializer,
        status=201,
        errors=(409,),
        tags=["staff"],
    ),
)
class StaffListView(ListView):
    """Staff accounts."""

    roles = {"GET": OWNER_ONLY, "POST": OWNER_ONLY}
    serializer_class = StaffInputSerializer
    filterset_class = StaffFilter
    order = ("username", "id")

    def get_queryset(self) -> Any:
        """All accounts, leavers too."""
        return Staff.objects.prefetch_related("facilities")

    def get(self, request: Request) -> Response:
        """One page."""
        return self.list_response(request)

    def post(self, request: Request) -> Any:
        """A new account."""
        given = StaffInputSerializer.checked(request.data)

        def execute(uow: Any) -> CommandResponse:
            row = services.staff_add(uow, given)
            return CommandResponse(StaffInputSerializer(row).data, version=row.revision)

        return self.command(request, execute, status=201)


@extend_schema_view(
    get=endpoint(
        "Read a staff account", response=StaffInputSerializer, errors=(404,), tags=["staff"]
    ),
    patch=endpoint(
        "Change an account, or end a leaver's access",
        request=StaffPatchInputSerializer(partial=True),
        response=StaffOutputSerializer,
        errors=(404, 409),
        if_match="optional",
        description="With an account its practitioner leaves too, unless told otherwise;"
        " `warnings` name the sessions booked with her.",
        tags=["staff"],
    ),
)
class StaffDetailView(ApiView):
    """One account."""

    roles = {"GET": OWNER_ONLY, "PATCH": OWNER_ONLY}

    def get(self, request: Request, staff_id: UUID) -> Response:
        """The account with its revision as ETag."""
        row = existing(Staff.objects.filter(pk=staff_id).first(), "account")
        return self.read_response(StaffInputSerializer(row).data, version=row.revision)

    def patch(self, request: Request, staff_id: UUID) -> Any:
        """Change what is given; a leaver's tokens end at once."""
        given = StaffPatchInputSerializer.checked(request.data, partial=True)
        match = self.if_match(request)

        def execute(uow: Any) -> CommandResponse:
            row = services.staff_change(uow, staff_id, given, match)
            return with_warnings(
                StaffInputSerializer(row).data, ended_account_warnings(row), row.revision
            )

        return self.command(request, execute)
