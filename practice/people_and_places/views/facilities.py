"""Facilities, their policy, rooms."""

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
from practice.people_and_places.filters import FacilityFilter, RoomFilter
from practice.people_and_places.rendering import (
    render_changed_facility,
    render_changed_room,
    render_new_facility,
)
from practice.people_and_places.selectors.facilities import (
    facility_get,
    facility_rules,
    room_get,
    visible_facilities,
    visible_rooms,
)
from practice.people_and_places.serializers.facilities import (
    ChangedRoomOutputSerializer,
    FacilityInputSerializer,
    FacilityOutputSerializer,
    FacilityRuleSerializer,
    RoomSerializer,
)
from practice.people_and_places.services import facilities as services


@extend_schema_view(
    get=endpoint(
        "List facilities",
        response=FacilityInputSerializer(many=True),
        description=(
            "Those whose rows the caller sees, with zone, jurisdiction and opening hours; "
            "owner and billing see every one. Closed ones stay, with `is_active` false."
        ),
        tags=["places"],
    )
)
class FacilityListView(CommandView, ListView):
    """The facilities that I see."""

    roles = {"GET": ANY_STAFF}
    names_no_client = True
    serializer_class = FacilityInputSerializer
    filterset_class = FacilityFilter
    order = ("name", "id")

    def get_queryset(self) -> Any:
        """Mine, or all for owner and billing."""
        rows = visible_facilities(self.actor(self.request))
        return rows.prefetch_related("opening_hours")

    post = Command(
        "Add a facility",
        tag="places",
        roles=OWNER_ONLY,
        input=FacilityInputSerializer,
        output=FacilityOutputSerializer,
        status=201,
        execute=services.facility_add,
        render=render_new_facility,
        description=(
            "With zone, jurisdiction and opening hours. Where the law of its jurisdiction "
            "is not on record `warnings` say so, and the starter rows that may be taken "
            "over: until then all work there is self-directed; and where the zone is no "
            "clock of the country."
        ),
    )


class FacilityDetailView(CommandView):
    """One facility with its opening hours."""

    roles = {"GET": ANY_STAFF}
    names_no_client = True

    @endpoint(
        "Read a facility",
        response=FacilityInputSerializer,
        errors=(404,),
        description=(
            "Zone, jurisdiction, phone and opening hours by weekday. 404 for one whose rows "
            "the caller does not see. Its revision, for `If-Match`, is the ETag."
        ),
        tags=["places"],
    )
    def get(self, request: Request, facility_id: UUID) -> Response:
        """The facility with its revision as ETag."""
        row = facility_get(self.actor(request), facility_id)
        return self.read_response(FacilityInputSerializer(row).data, version=row.revision)

    patch = Command(
        "Change a facility",
        tag="places",
        roles=OWNER_ONLY,
        input=FacilityInputSerializer,
        example={"phone": "+1 415 555 0188"},
        partial=True,
        output=FacilityOutputSerializer,
        errors=(404, 409),
        if_match="required",
        execute=services.facility_change,
        render=render_changed_facility,
        description=(
            "Fields left out stay; opening hours are replaced as a whole. Sessions to come "
            "are evaluated again, by the new law where the jurisdiction changed. `warnings` "
            "say where its law is not on record, where the zone does not go with the "
            "jurisdiction, and how many booked sessions another law, another clock or its end "
            "concerns."
        ),
    )


class OfFacilityView(CommandView):
    """A view below one facility; one that the caller does not see is 404."""

    def check_visible(self, request: Request, **ids: Any) -> None:
        """The facility of the path."""
        facility_get(self.actor(request), ids["facility_id"])


@extend_schema_view(
    get=endpoint(
        "List a facility's own policy",
        response=FacilityRuleSerializer(many=True),
        errors=(404,),
        description=(
            "What it forbids or puts under supervision beyond the law, for an activity or a "
            "technique, each row with its reason. 404 for one that the caller does not see."
        ),
        tags=["places"],
    )
)
class FacilityRuleListView(OfFacilityView, ListView):
    """What a facility says beyond the law."""

    roles = {"GET": ANY_STAFF}
    names_no_client = True
    serializer_class = FacilityRuleSerializer
    order = ("activity", "technique", "id")

    def get_queryset(self) -> Any:
        """The policy of one facility."""
        return facility_rules(self.kwargs.get("facility_id"))

    post = Command(
        "Narrow what may be done at a facility",
        tag="places",
        roles=OWNER_ONLY,
        input=FacilityRuleSerializer,
        output=FacilityRuleSerializer,
        status=201,
        errors=(404, 409),
        execute=services.facility_rule_add,
        render=row_renderer(FacilityRuleSerializer),
        description=(
            "Puts an activity or a technique under supervision there, or forbids it. It can "
            "only narrow what law and credentials leave: `allowed` is refused. Sessions to "
            "come are evaluated again."
        ),
    )


class FacilityRuleDetailView(OfFacilityView):
    """One policy of a facility."""

    delete = Command(
        "Drop a facility's policy",
        tag="places",
        roles=OWNER_ONLY,
        errors=(404,),
        execute=services.facility_rule_remove,
        description=(
            "Law and the rules of the practice stay as they are. The history of changes "
            "keeps the row. Sessions to come are evaluated again."
        ),
    )


@extend_schema_view(
    get=endpoint(
        "List rooms",
        response=RoomSerializer(many=True),
        description=(
            "Those of facilities that the caller sees, with whether they can be closed off; "
            "rooms out of use stay, with `is_active` false."
        ),
        tags=["places"],
    )
)
class RoomListView(CommandView, ListView):
    """Rooms of the facilities that I see."""

    roles = {"GET": ANY_STAFF}
    names_no_client = True
    serializer_class = RoomSerializer
    filterset_class = RoomFilter
    order = ("name", "id")

    def get_queryset(self) -> Any:
        """Rooms of my facilities."""
        return visible_rooms(self.actor(self.request))

    post = Command(
        "Add a room",
        tag="places",
        roles=OWNER_ONLY,
        input=RoomSerializer,
        output=RoomSerializer,
        status=201,
        execute=services.room_add,
        render=row_renderer(RoomSerializer),
        description=(
            "From now on sessions can be booked into it and open times count it. 409 where "
            "the facility has one of that name."
        ),
    )


class RoomDetailView(CommandView):
    """One room of a facility."""

    roles = {"GET": ANY_STAFF}
    names_no_client = True

    @endpoint(
        "Read a room",
        response=RoomSerializer,
        errors=(404,),
        description=(
            "Its facility, name, and whether it can be closed off. 404 at facilities that "
            "the caller does not see. Its revision, for `If-Match`, is the ETag."
        ),
        tags=["places"],
    )
    def get(self, request: Request, room_id: UUID) -> Response:
        """The room with its revision as ETag."""
        row = room_get(self.actor(request), room_id)
        return self.read_response(RoomSerializer(row).data, version=row.revision)

    patch = Command(
        "Change a room",
        tag="places",
        roles=OWNER_ONLY,
        input=RoomSerializer,
        example={"name": "Room 2, by the window", "is_private": True},
        partial=True,
        output=ChangedRoomOutputSerializer,
        errors=(404, 409),
        if_match="required",
        execute=services.room_change,
        render=render_changed_room,
        description=(
            "Fields left out stay, and so does the facility that it is in (400). "
            "`is_active` false: nothing more is booked there, and `warnings` say how many "
            "sessions are."
        ),
    )
