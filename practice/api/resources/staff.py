"""Staff accounts: the owner's list of hires and leavers."""

from __future__ import annotations

from typing import Any
from uuid import UUID

import django_filters
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from practice.api.describe import described
from practice.api.filters import FilterSet
from practice.api.forms.people import StaffAnswer, StaffForm, StaffPatch
from practice.api.roles import OWNER_ONLY
from practice.api.views import Answer, ApiView, ListView, warned
from practice.domain.reasons import existing
from practice.domain.terms import Role
from practice.models import Staff
from practice.services import staff as services
from practice.services.leaving import of_account


class StaffFilter(FilterSet):
    """Filters of the list of accounts."""

    role = django_filters.ChoiceFilter(
        choices=[(r.value, r.value) for r in Role], help_text="Accounts of one role."
    )
    is_active = django_filters.BooleanFilter(help_text="false for leavers.")

    class Meta:
        model = Staff
        fields = ("role", "is_active")


@extend_schema_view(
    get=described("List staff accounts", gives=StaffForm(many=True), tags=["staff"]),
    post=described(
        "Open an account for a new hire",
        takes=StaffForm,
        gives=StaffForm,
        status=201,
        refuses=(409,),
        tags=["staff"],
    ),
)
class StaffList(ListView):
    """Staff accounts."""

    roles = {"GET": OWNER_ONLY, "POST": OWNER_ONLY}
    serializer_class = StaffForm
    filterset_class = StaffFilter
    order = ("username", "id")

    def get_queryset(self) -> Any:
        """All accounts, leavers too."""
        return Staff.objects.prefetch_related("facilities")

    def get(self, request: Request) -> Response:
        """One page."""
        return self.listed(request)

    def post(self, request: Request) -> Any:
        """A new account."""
        given = StaffForm.checked(request.data)

        def act(work: Any) -> Answer:
            row = services.staff_add(work, given)
            return Answer(StaffForm(row).data, version=row.revision)

        return self.command(request, act, status=201)


@extend_schema_view(
    get=described("Read a staff account", gives=StaffForm, refuses=(404,), tags=["staff"]),
    patch=described(
        "Change an account, or end a leaver's access",
        takes=StaffPatch(partial=True),
        gives=StaffAnswer,
        refuses=(404, 409),
        if_match="optional",
        description="With an account its practitioner leaves too, unless told otherwise;"
        " `warnings` name the sessions booked with her.",
        tags=["staff"],
    ),
)
class StaffAccount(ApiView):
    """One account."""

    roles = {"GET": OWNER_ONLY, "PATCH": OWNER_ONLY}

    def get(self, request: Request, staff_id: UUID) -> Response:
        """The account with its revision as ETag."""
        row = existing(Staff.objects.filter(pk=staff_id).first(), "account")
        return self.shown(StaffForm(row).data, version=row.revision)

    def patch(self, request: Request, staff_id: UUID) -> Any:
        """Change what is given; a leaver's tokens end at once."""
        given = StaffPatch.checked(request.data, partial=True)
        match = self.if_match(request)

        def act(work: Any) -> Answer:
            row = services.staff_change(work, staff_id, given, match)
            return warned(StaffForm(row).data, of_account(row), row.revision)

        return self.command(request, act)
