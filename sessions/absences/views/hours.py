"""Extra hours of practitioners, and the public holidays of facilities."""

from __future__ import annotations

from datetime import date
from typing import Any
from uuid import UUID

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from practice.http.base_views import ApiView, ListView
from practice.http.commands import Command, CommandView
from practice.http.openapi import endpoint
from practice.http.representations import row_renderer
from practice.http.roles import ANY_STAFF, CARE, DESK
from practice.people_and_places.models.exceptions import ExtraHours
from practice.people_and_places.selectors.exceptions import extra_hours, holidays_of
from practice.people_and_places.selectors.facilities import facility_get
from practice.people_and_places.services import exceptions as services
from sessions.absences.filters import ExtraHoursFilter
from sessions.absences.rendering import render_extra_hours
from sessions.absences.serializers.recording import (
    ExtraHoursOutputSerializer,
    ExtraHoursSerializer,
    HolidayOpeningSerializer,
    HolidaysOutputSerializer,
    HolidaysQuerySerializer,
)
from sessions.calendar.selectors.facilities import calendar_settings


@extend_schema_view(
    get=endpoint(
        "List extra hours",
        response=ExtraHoursSerializer(many=True),
        description="Hours of single days beyond the weekly ones, at facilities that the caller "
        "sees, by day.",
        tags=["absences"],
    )
)
class ExtraHoursListView(CommandView, ListView):
    """Who works beyond the weekly hours."""

    roles = {"GET": CARE}
    names_no_client = True
    serializer_class = ExtraHoursSerializer
    filterset_class = ExtraHoursFilter
    order = ("day", "id")

    def get_queryset(self) -> QuerySet[ExtraHours]:
        """Those at my facilities."""
        return extra_hours(self.actor(self.request))

    post = Command(
        "Record extra hours",
        tag="absences",
        roles=DESK,
        input=ExtraHoursSerializer,
        output=ExtraHoursOutputSerializer,
        status=201,
        errors=(404, 409),
        execute=services.extra_hours_add,
        render=render_extra_hours,
        description="A practitioner works at a facility on one day beyond the weekly hours: open "
        "times offer them at once. `warnings` say where the facility is closed then.",
    )


class ExtraHoursDetailView(CommandView):
    """Extra hours of one day."""

    delete = Command(
        "Take extra hours back",
        tag="absences",
        roles=DESK,
        errors=(404,),
        execute=services.extra_hours_remove,
        description="What is booked in them stays and lies outside the working hours then. The "
        "history of changes keeps the row.",
    )


class FacilityHolidaysView(ApiView):
    """The public holidays of one facility."""

    roles = {"GET": ANY_STAFF}
    names_no_client = True
    query_form = HolidaysQuerySerializer

    @endpoint(
        "List a facility's public holidays",
        response=HolidaysOutputSerializer,
        query=HolidaysQuerySerializer,
        errors=(404,),
        description="Those of its jurisdiction in a year, days on which one is observed too, and "
        "whether the facility is closed on each: the practice's setting "
        "`calendar.closes_on_public_holidays`, but for single ones on which it opens.",
        tags=["absences"],
    )
    def get(self, request: Request, facility_id: UUID) -> Response:
        facility = facility_get(self.actor(request), facility_id)
        year, closes = self.query(request)["year"], calendar_settings().closes_on_public_holidays
        found = holidays_of(facility, date(year, 1, 1), date(year, 12, 31), closes=closes)
        shown: dict[str, Any] = {
            "jurisdiction": facility.jurisdiction,
            "closes": closes,
            "holidays": list(found),
        }
        return self.read_response(HolidaysOutputSerializer(shown).data)


class HolidayOpeningListView(CommandView):
    """Facilities that open on a public holiday."""

    post = Command(
        "Open a facility on a public holiday",
        tag="absences",
        roles=DESK,
        input=HolidayOpeningSerializer,
        output=HolidayOpeningSerializer,
        status=201,
        errors=(404, 409),
        execute=services.holiday_opening_add,
        render=row_renderer(HolidayOpeningSerializer),
        description="On this one, although the practice closes on public holidays. 400 for a day "
        "that is none in its jurisdiction.",
    )


class HolidayOpeningDetailView(CommandView):
    """One such opening."""

    delete = Command(
        "Take an opening on a public holiday back",
        tag="absences",
        roles=DESK,
        errors=(404,),
        execute=services.holiday_opening_remove,
        description="The practice's rule holds for that day again. What is booked on it stays.",
    )
