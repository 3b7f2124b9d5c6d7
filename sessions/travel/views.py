"""Travel times between facilities: read by all staff, kept by the owner."""

from __future__ import annotations

from uuid import UUID

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from practice.http.base_views import ListView
from practice.http.commands import Command, CommandView
from practice.http.openapi import endpoint
from practice.http.representations import row_renderer
from practice.http.roles import ANY_STAFF, OWNER_ONLY
from sessions.travel import services
from sessions.travel.models import TravelTime
from sessions.travel.selectors import travel_time_get, travel_time_list
from sessions.travel.serializers import TravelMinutesSerializer, TravelTimeSerializer


@extend_schema_view(
    get=endpoint(
        "List travel times",
        response=TravelTimeSerializer(many=True),
        description="Minutes between two facilities, whichever way. Where there is no row nothing "
        "is reckoned with.",
        tags=["places"],
    )
)
class TravelTimeListView(CommandView, ListView):
    """How long practitioners travel between facilities."""

    roles = {"GET": ANY_STAFF}
    names_no_client = True
    serializer_class = TravelTimeSerializer
    order = ("facility_id", "id")

    def get_queryset(self) -> QuerySet[TravelTime]:
        """All of them."""
        return travel_time_list()

    post = Command(
        "Record a travel time",
        tag="places",
        roles=OWNER_ONLY,
        input=TravelTimeSerializer,
        output=TravelTimeSerializer,
        status=201,
        errors=(409,),
        execute=services.travel_time_add,
        render=row_renderer(TravelTimeSerializer),
        description="Open times leave out what a practitioner could not reach from their session "
        "before, or would leave too late for the one after; a booking is warned. 409 where the "
        "two are on record.",
    )


class TravelTimeDetailView(CommandView):
    """One travel time."""

    roles = {"GET": ANY_STAFF}
    names_no_client = True

    @endpoint(
        "Read a travel time",
        response=TravelTimeSerializer,
        errors=(404,),
        description="Both facilities and the minutes. Its revision, for `If-Match`, is the ETag.",
        tags=["places"],
    )
    def get(self, request: Request, travel_time_id: UUID) -> Response:
        """The travel time with its revision as ETag."""
        row = travel_time_get(travel_time_id)
        return self.read_response(TravelTimeSerializer(row).data, version=row.revision)

    patch = Command(
        "Change a travel time",
        tag="places",
        roles=OWNER_ONLY,
        input=TravelMinutesSerializer,
        output=TravelTimeSerializer,
        errors=(404,),
        if_match="required",
        execute=services.travel_time_change,
        render=row_renderer(TravelTimeSerializer),
        description="Other minutes between the same two. Sessions that are booked stay.",
    )
    delete = Command(
        "Drop a travel time",
        tag="places",
        roles=OWNER_ONLY,
        errors=(404,),
        execute=services.travel_time_remove,
        description="Nothing is reckoned with between the two any more. The history of changes "
        "keeps the row.",
    )
