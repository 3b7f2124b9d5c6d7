"""Facilities, their policy, rooms."""

from __future__ import annotations

from typing import Any
from uuid import UUID

import django_filters
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from practice.api.describe import described
from practice.api.filters import FilterSet
from practice.api.forms.places import FacilityForm, NewFacility, PolicyForm, RoomForm
from practice.api.forms.rules import JurisdictionLimitForm
from practice.api.roles import ANY_STAFF, OWNER_ONLY
from practice.api.views import Answer, ApiView, ListView, warned
from practice.domain.reasons import Reason, existing
from practice.models import Facility, FacilityPolicy, JurisdictionLimit, Room
from practice.selectors import facility_get, rooms_visible, visible_facilities
from practice.services import limits, places
from practice.services.fixtures import starter_limits


def with_what_is_missing(facility: Facility) -> Answer:
    """A facility with how many limits its jurisdiction has on record; where it has none, a
    warning and the starter rows."""
    code = facility.jurisdiction
    count = JurisdictionLimit.objects.filter(jurisdiction=code).count()
    rows = [] if count else starter_limits(code)
    todo = (
        "Take over the starter rows (POST .../starter-limits) or enter your own."
        if rows
        else f"Ask the board and enter your own; there are none shipped for {code}."
    )
    text = (
        f"There is no limit on record for {code}: until there is, everyone's work there "
        f"is self-directed. {todo}"
    )
    source = "practice policy: unknown law is self-directed"
    warnings = [] if count else [Reason(code="no_limits_on_record", text=text, source=source)]
    data = {**FacilityForm(facility).data, "limits_on_record": count, "starter_rows": rows}
    return warned(data, warnings, facility.revision)


class FacilityFilter(FilterSet):
    """Filters of the list of facilities."""

    jurisdiction = django_filters.CharFilter(help_text="ISO 3166-2 code, e.g. `US-CA`.")
    is_active = django_filters.BooleanFilter(help_text="false for those that have closed.")

    class Meta:
        model = Facility
        fields = ("jurisdiction", "is_active")


@extend_schema_view(
    get=described("List facilities", gives=FacilityForm(many=True), tags=["places"]),
    post=described(
        "Add a facility",
        takes=FacilityForm,
        gives=NewFacility,
        status=201,
        idempotency="optional",
        tags=["places"],
    ),
)
class Facilities(ListView):
    """The facilities that I see."""

    roles = {"GET": ANY_STAFF, "POST": OWNER_ONLY}
    serializer_class = FacilityForm
    filterset_class = FacilityFilter
    order = ("name", "id")

    def get_queryset(self) -> Any:
        """Mine, or all for owner and billing."""
        rows = visible_facilities(self.actor(self.request))
        return rows.prefetch_related("opening_hours")

    def get(self, request: Request) -> Response:
        """One page."""
        return self.listed(request)

    def post(self, request: Request) -> Any:
        """A new facility, with the starter rows where its law is not on record."""
        given = FacilityForm.checked(request.data)

        def act(work: Any) -> Answer:
            row = places.facility_add(work, given)
            return with_what_is_missing(row)

        return self.command(request, act, status=201)


@extend_schema_view(
    get=described("Read a facility", gives=FacilityForm, refuses=(404,), tags=["places"]),
    patch=described(
        "Change a facility",
        takes=FacilityForm(partial=True),
        gives=NewFacility,
        refuses=(404, 409),
        if_match="optional",
        tags=["places"],
    ),
)
class OneFacility(ApiView):
    """One facility."""

    roles = {"GET": ANY_STAFF, "PATCH": OWNER_ONLY}

    def get(self, request: Request, facility_id: UUID) -> Response:
        """The facility with its revision as ETag."""
        row = facility_get(self.actor(request), facility_id)
        return self.shown(FacilityForm(row).data, version=row.revision)

    def patch(self, request: Request, facility_id: UUID) -> Any:
        """Change what is given."""
        given = FacilityForm.checked(request.data, partial=True)
        match = self.if_match(request)

        def act(work: Any) -> Answer:
            row = places.facility_change(work, facility_id, given, match)
            return with_what_is_missing(row)

        return self.command(request, act)


@extend_schema_view(
    get=described(
        "List a facility's own policy",
        gives=PolicyForm(many=True),
        refuses=(404,),
        tags=["places"],
    ),
    post=described(
        "Narrow what may be done at a facility",
        takes=PolicyForm,
        gives=PolicyForm,
        status=201,
        refuses=(404, 409),
        idempotency="optional",
        tags=["places"],
    ),
)
class Policies(ListView):
    """What a facility says beyond the law."""

    roles = {"GET": ANY_STAFF, "POST": OWNER_ONLY}
    serializer_class = PolicyForm
    order = ("activity", "technique", "id")

    def get_queryset(self) -> Any:
        """The policy of one facility."""
        return FacilityPolicy.objects.filter(facility_id=self.kwargs.get("facility_id"))

    def get(self, request: Request, facility_id: UUID) -> Response:
        """One page; 404 for a facility that I do not see."""
        facility_get(self.actor(request), facility_id)
        return self.listed(request)

    def post(self, request: Request, facility_id: UUID) -> Any:
        """Add a row; it can only narrow."""
        given = PolicyForm.checked(request.data)
        return self.command(
            request,
            lambda work: PolicyForm(places.policy_add(work, facility_id, given)).data,
            status=201,
        )


@extend_schema_view(
    delete=described("Drop a facility's policy", status=204, refuses=(404,), tags=["places"])
)
class OnePolicy(ApiView):
    """One policy of a facility."""

    roles = {"DELETE": OWNER_ONLY}

    def delete(self, request: Request, facility_id: UUID, policy_id: UUID) -> Any:
        """Drop it; the history keeps it."""
        return self.command(
            request, lambda work: places.policy_remove(work, facility_id, policy_id), status=204
        )


@extend_schema_view(
    post=described(
        "Take over the starter limits of a facility's jurisdiction",
        gives=JurisdictionLimitForm(many=True),
        status=201,
        refuses=(404, 409),
        idempotency="optional",
        description="Rows with source, unverified: verify each with your board, then PATCH its"
        " `verified_on`.",
        tags=["places"],
    )
)
class StarterLimits(ApiView):
    """The starter table for one facility."""

    roles = {"POST": OWNER_ONLY}

    def post(self, request: Request, facility_id: UUID) -> Any:
        """Copy the rows offered into the practice's own table."""
        return self.command(
            request,
            lambda work: (
                JurisdictionLimitForm(
                    limits.starter_limits_accept(work, facility_id), many=True
                ).data
            ),
            status=201,
        )


class RoomFilter(FilterSet):
    """Filters of the list of rooms."""

    facility_id = django_filters.UUIDFilter(help_text="Rooms of one facility.")
    is_active = django_filters.BooleanFilter(help_text="false for those out of use.")

    class Meta:
        model = Room
        fields = ("facility_id", "is_active")


@extend_schema_view(
    get=described("List rooms", gives=RoomForm(many=True), tags=["places"]),
    post=described(
        "Add a room",
        takes=RoomForm,
        gives=RoomForm,
        status=201,
        idempotency="optional",
        tags=["places"],
    ),
)
class Rooms(ListView):
    """Rooms of the facilities that I see."""

    roles = {"GET": ANY_STAFF, "POST": OWNER_ONLY}
    serializer_class = RoomForm
    filterset_class = RoomFilter
    order = ("name", "id")

    def get_queryset(self) -> Any:
        """Rooms of my facilities."""
        return rooms_visible(self.actor(self.request))

    def get(self, request: Request) -> Response:
        """One page."""
        return self.listed(request)

    def post(self, request: Request) -> Any:
        """A new room."""
        given = RoomForm.checked(request.data)
        return self.command(
            request, lambda work: RoomForm(places.room_add(work, given)).data, status=201
        )


@extend_schema_view(
    get=described("Read a room", gives=RoomForm, refuses=(404,), tags=["places"]),
    patch=described(
        "Change a room",
        takes=RoomForm(partial=True),
        gives=RoomForm,
        refuses=(404, 409),
        if_match="optional",
        tags=["places"],
    ),
)
class OneRoom(ApiView):
    """One room."""

    roles = {"GET": ANY_STAFF, "PATCH": OWNER_ONLY}

    def get(self, request: Request, room_id: UUID) -> Response:
        """The room with its revision as ETag."""
        row = existing(rooms_visible(self.actor(request)).filter(pk=room_id).first(), "room")
        return self.shown(RoomForm(row).data, version=row.revision)

    def patch(self, request: Request, room_id: UUID) -> Any:
        """Change what is given."""
        given = RoomForm.checked(request.data, partial=True)
        match = self.if_match(request)

        def act(work: Any) -> Answer:
            row = places.room_change(work, room_id, given, match)
            return Answer(RoomForm(row).data, version=row.revision)

        return self.command(request, act)
