"""Facilities, their policy, rooms."""

from __future__ import annotations

from typing import Any
from uuid import UUID

import django_filters
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from practice.core.reasons import Reason, existing
from practice.http.filters import FilterSet, JurisdictionFilter, StrictBooleanFilter
from practice.http.openapi import endpoint
from practice.http.roles import ANY_STAFF, OWNER_ONLY
from practice.http.views import ApiView, CommandResponse, ListView, with_warnings
from practice.law.fixtures import starter_limits
from practice.law.models import JurisdictionLimit
from practice.people_and_places.models.facilities import Facility, FacilityRule, Room
from practice.people_and_places.selectors.facilities import (
    facility_get,
    visible_facilities,
    visible_rooms,
)
from practice.people_and_places.serializers.facilities import (
    FacilityInputSerializer,
    FacilityOutputSerializer,
    FacilityRuleSerializer,
    RoomSerializer,
)
from practice.people_and_places.services import facilities as places


def facility_with_warnings(facility: Facility) -> CommandResponse:
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
    data = {
        **FacilityInputSerializer(facility).data,
        "limits_on_record": count,
        "starter_rows": rows,
    }
    return with_warnings(data, warnings, facility.revision)


class FacilityFilter(FilterSet):
    """Filters of the list of facilities."""

    jurisdiction = JurisdictionFilter(help_text="ISO 3166-2 code, e.g. `US-CA`.")
    is_active = StrictBooleanFilter(help_text="false for those that have closed.")

    class Meta:
        model = Facility
        fields = ("jurisdiction", "is_active")


@extend_schema_view(
    get=endpoint("List facilities", response=FacilityInputSerializer(many=True), tags=["places"]),
    post=endpoint(
        "Add a facility",
        request=FacilityInputSerializer,
        response=FacilityOutputSerializer,
        status=201,
        idempotency="optional",
        tags=["places"],
    ),
)
class FacilityListView(ListView):
    """The facilities that I see."""

    roles = {"GET": ANY_STAFF, "POST": OWNER_ONLY}
    serializer_class = FacilityInputSerializer
    filterset_class = FacilityFilter
    order = ("name", "id")

    def get_queryset(self) -> Any:
        """Mine, or all for owner and billing."""
        rows = visible_facilities(self.actor(self.request))
        return rows.prefetch_related("opening_hours")

    def get(self, request: Request) -> Response:
        """One page."""
        return self.list_response(request)

    def post(self, request: Request) -> Any:
        """A new facility, with the starter rows where its law is not on record."""
        given = FacilityInputSerializer.checked(request.data)

        def execute(uow: Any) -> CommandResponse:
            row = places.facility_add(uow, given)
            return facility_with_warnings(row)

        return self.command(request, execute, status=201)


@extend_schema_view(
    get=endpoint(
        "Read a facility", response=FacilityInputSerializer, errors=(404,), tags=["places"]
    ),
    patch=endpoint(
        "Change a facility",
        request=FacilityInputSerializer(partial=True),
        response=FacilityOutputSerializer,
        errors=(404, 409),
        if_match="optional",
        tags=["places"],
    ),
)
class FacilityDetailView(ApiView):
    """One facility."""

    roles = {"GET": ANY_STAFF, "PATCH": OWNER_ONLY}

    def get(self, request: Request, facility_id: UUID) -> Response:
        """The facility with its revision as ETag."""
        row = facility_get(self.actor(request), facility_id)
        return self.read_response(FacilityInputSerializer(row).data, version=row.revision)

    def patch(self, request: Request, facility_id: UUID) -> Any:
        """Change what is given."""
        given = FacilityInputSerializer.checked(request.data, partial=True)
        match = self.if_match(request)

        def execute(uow: Any) -> CommandResponse:
            row = places.facility_change(uow, facility_id, given, match)
            return facility_with_warnings(row)

        return self.command(request, execute)


@extend_schema_view(
    get=endpoint(
        "List a facility's own policy",
        response=FacilityRuleSerializer(many=True),
        errors=(404,),
        tags=["places"],
    ),
    post=endpoint(
        "Narrow what may be done at a facility",
        request=FacilityRuleSerializer,
        response=FacilityRuleSerializer,
        status=201,
        errors=(404, 409),
        idempotency="optional",
        tags=["places"],
    ),
)
class FacilityRuleListView(ListView):
    """What a facility says beyond the law."""

    roles = {"GET": ANY_STAFF, "POST": OWNER_ONLY}
    serializer_class = FacilityRuleSerializer
    order = ("activity", "technique", "id")

    def get_queryset(self) -> Any:
        """The policy of one facility."""
        return FacilityRule.objects.filter(facility_id=self.kwargs.get("facility_id"))

    def get(self, request: Request, facility_id: UUID) -> Response:
        """One page; 404 for a facility that I do not see."""
        facility_get(self.actor(request), facility_id)
        return self.list_response(request)

    def post(self, request: Request, facility_id: UUID) -> Any:
        """Add a row; it can only narrow."""
        given = FacilityRuleSerializer.checked(request.data)
        return self.command(
            request,
            lambda uow: (
                FacilityRuleSerializer(places.facility_rule_add(uow, facility_id, given)).data
            ),
            status=201,
        )


@extend_schema_view(
    delete=endpoint("Drop a facility's policy", status=204, errors=(404,), tags=["places"])
)
class FacilityRuleDetailView(ApiView):
    """One policy of a facility."""

    roles = {"DELETE": OWNER_ONLY}

    def delete(self, request: Request, facility_id: UUID, rule_id: UUID) -> Any:
        """Drop it; the history keeps it."""
        return self.command(
            request, lambda uow: places.facility_rule_remove(uow, facility_id, rule_id), status=204
        )


class RoomFilter(FilterSet):
    """Filters of the list of rooms."""

    facility_id = django_filters.UUIDFilter(help_text="Rooms of one facility.")
    is_active = StrictBooleanFilter(help_text="false for those out of use.")

    class Meta:
        model = Room
        fields = ("facility_id", "is_active")


@extend_schema_view(
    get=endpoint("List rooms", response=RoomSerializer(many=True), tags=["places"]),
    post=endpoint(
        "Add a room",
        request=RoomSerializer,
        response=RoomSerializer,
        status=201,
        idempotency="optional",
        tags=["places"],
    ),
)
class RoomListView(ListView):
    """Rooms of the facilities that I see."""

    roles = {"GET": ANY_STAFF, "POST": OWNER_ONLY}
    serializer_class = RoomSerializer
    filterset_class = RoomFilter
    order = ("name", "id")

    def get_queryset(self) -> Any:
        """Rooms of my facilities."""
        return visible_rooms(self.actor(self.request))

    def get(self, request: Request) -> Response:
        """One page."""
        return self.list_response(request)

    def post(self, request: Request) -> Any:
        """A new room."""
        given = RoomSerializer.checked(request.data)
        return self.command(
            request, lambda uow: RoomSerializer(places.room_add(uow, given)).data, status=201
        )


@extend_schema_view(
    get=endpoint("Read a room", response=RoomSerializer, errors=(404,), tags=["places"]),
    patch=endpoint(
        "Change a room",
        request=RoomSerializer(partial=True),
        response=RoomSerializer,
        errors=(404, 409),
        if_match="optional",
        tags=["places"],
    ),
)
class RoomDetailView(ApiView):
    """One room."""

    roles = {"GET": ANY_STAFF, "PATCH": OWNER_ONLY}

    def get(self, request: Request, room_id: UUID) -> Response:
        """The room with its revision as ETag."""
        row = existing(visible_rooms(self.actor(request)).filter(pk=room_id).first(), "room")
        return self.read_response(RoomSerializer(row).data, version=row.revision)

    def patch(self, request: Request, room_id: UUID) -> Any:
        """Change what is given."""
        given = RoomSerializer.checked(request.data, partial=True)
        match = self.if_match(request)

        def execute(uow: Any) -> CommandResponse:
            row = places.room_change(uow, room_id, given, match)
            return CommandResponse(RoomSerializer(row).data, version=row.revision)

        return self.command(request, execute)
