"""Staff accounts: the owner's list of hires and leavers."""

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
from practice.http.roles import OWNER_ONLY
from practice.people_and_places.filters import StaffFilter
from practice.people_and_places.rendering import render_changed_account
from practice.people_and_places.selectors.staff import staff_get, staff_list
from practice.people_and_places.serializers.people import (
    StaffInputSerializer,
    StaffOutputSerializer,
    StaffPatchInputSerializer,
)
from practice.people_and_places.services import staff as services


@extend_schema_view(
    get=endpoint(
        "List staff accounts",
        response=StaffInputSerializer(many=True),
        description=(
            "By username, leavers too: role, the practitioner whose account it is, and the "
            "facilities whose rows it sees. No password, and no token."
        ),
        tags=["staff"],
    )
)
class StaffListView(CommandView, ListView):
    """The accounts of the staff."""

    roles = {"GET": OWNER_ONLY}
    serializer_class = StaffInputSerializer
    filterset_class = StaffFilter
    order = ("username", "id")

    def get_queryset(self) -> Any:
        """All accounts, leavers too."""
        return staff_list()

    post = Command(
        "Open an account for a new hire",
        tag="staff",
        roles=OWNER_ONLY,
        input=StaffInputSerializer,
        output=StaffInputSerializer,
        status=201,
        errors=(409,),
        execute=services.staff_add,
        render=row_renderer(StaffInputSerializer),
        description=(
            "A practitioner's names the practitioner; the front desk sees only the "
            "facilities given. A weak password is 400, a username in use 409. The new "
            "colleague signs in with it at once."
        ),
    )


class StaffDetailView(CommandView):
    """One account of the staff, read and changed by the owner."""

    roles = {"GET": OWNER_ONLY}

    @endpoint(
        "Read a staff account",
        response=StaffInputSerializer,
        errors=(404,),
        description=(
            "Role, practitioner, facilities, and whether it is in use. Its revision, for "
            "`If-Match`, is the ETag."
        ),
        tags=["staff"],
    )
    def get(self, request: Request, staff_id: UUID) -> Response:
        """The account with its revision as ETag."""
        row = staff_get(staff_id)
        return self.read_response(StaffInputSerializer(row).data, version=row.revision)

    patch = Command(
        "Change an account, or end a leaver's access",
        tag="staff",
        roles=OWNER_ONLY,
        input=StaffPatchInputSerializer,
        partial=True,
        output=StaffOutputSerializer,
        errors=(404, 409),
        if_match="required",
        execute=services.staff_change,
        render=render_changed_account,
        description="With an account its practitioner leaves too, unless told otherwise;"
        " `warnings` name the sessions booked with them.",
    )
