"""Open times: what the desk may offer a client."""

from __future__ import annotations

from typing import Any, Final
from uuid import UUID

from rest_framework.request import Request
from rest_framework.response import Response

from practice.clock import clock
from practice.core.terms import Role
from practice.http.base_views import ApiView
from practice.http.openapi import endpoint
from practice.http.pagination import CursorPages
from practice.http.reasons import shown_reasons
from practice.http.roles import CARE
from sessions.assessment.short_rendering import ReasonNumbers
from sessions.booking.domain.open_times_query import OpenTimesQuery
from sessions.booking.domain.spread import Step
from sessions.booking.selectors.open_places import Closures
from sessions.booking.selectors.open_times import OpenTimeOffer, OpenTimes, open_times
from sessions.booking.serializers.open_times import (
    OpenTimesOutputSerializer,
    OpenTimesQueryInputSerializer,
)
from sessions.calendar.selectors.facilities import calendar_settings

USUAL_PAGE: Final = 20
_DAYS: Final = {"from": "first_day", "to": "last_day"}


class OpenTimesView(ApiView):
    """Times that can be booked as they are offered."""

    roles = {"GET": CARE}
    query_form = OpenTimesQueryInputSerializer
    order = ("before", "day")

    @endpoint(
        "Find open times for a client",
        response=OpenTimesOutputSerializer,
        query=OpenTimesQueryInputSerializer,
        errors=(404,),
        description=(
            "Opening and working hours, closed days, rooms, people, law, consent and preference "
            "are obeyed: each time can be booked as it is offered. Who would not pay is among the "
            "warnings, or left out with `covered`. Who is not offered is named with the reasons; "
            "times that do not suit the client are left out and named."
        ),
        tags=["sessions"],
    )
    def get(self, request: Request) -> Response:
        """One page of offers."""
        given = self.query(request)
        actor, pages = self.actor(request), CursorPages()
        size = given.pop("page_size", USUAL_PAGE)
        place = pages.place(request, self)
        given.pop("cursor", None)
        asked = OpenTimesQuery(**{_DAYS.get(name, name): value for name, value in given.items()})
        found = open_times(
            actor,
            asked,
            calendar_settings(),
            clock.now(),
            size=size,
            start=None if place is None else Step(*place),
        )
        self.log_read(request, asked.client_id, "open times")
        following = found.following
        cursor = None if following is None else pages.cursor(request, self, following)
        return Response(serialize_open_times(actor.role, asked.client_id, found, cursor))


def serialize_open_times(role: Role, client_id: UUID, found: OpenTimes, cursor: str | None) -> Any:
    """Open times as one role may read them."""
    numbers = ReasonNumbers(role)
    names = {one.place.facility.pk: one.place.name for one in found.closures}
    people = {who: person.name for who, person in found.people.items()}
    excluded = [
        {
            "practitioner_id": one.practitioner_id,
            "practitioner_name": people[one.practitioner_id],
            "facility_id": one.facility_id,
            "facility_name": names[one.facility_id],
            "first_day": one.first_day,
            "last_day": one.last_day,
            "reasons": shown_reasons(role, one.reasons),
        }
        for one in found.excluded
    ]
    answer = {
        "client_id": client_id,
        "results": [_serialize_offer(one, numbers) for one in found.offers],
        "next_cursor": cursor,
        "excluded": sorted(
            excluded, key=lambda one: (one["practitioner_name"], one["facility_name"])
        ),
        "left_out": shown_reasons(role, found.left_out),
        "facilities": [_serialize_closures(role, one) for one in found.closures],
        "reason_texts": numbers.texts(),
    }
    return OpenTimesOutputSerializer(answer).data


def _serialize_offer(offer: OpenTimeOffer, numbers: ReasonNumbers) -> dict[str, Any]:
    found = {
        "practitioner_id": offer.practitioner.pk,
        "practitioner_name": offer.practitioner.name,
        "credential": offer.practitioner.credential,
        "facility_id": offer.place.facility.pk,
        "facility_name": offer.place.name,
        "room_id": offer.room.pk if offer.room else None,
        "room_name": offer.room.name if offer.room else "",
        "starts_at": offer.starts_at,
        "ends_at": offer.ends_at,
        "mode": offer.mode,
    }
    said = {"reasons": numbers.of(offer.reasons), "warnings": numbers.of(offer.warnings)}
    return {**found, **{name: value for name, value in said.items() if value}}


def _serialize_closures(role: Role, one: Closures) -> dict[str, Any]:
    return {
        "facility_id": one.place.facility.pk,
        "facility_name": one.place.name,
        "zone": one.place.calendar.zone,
        "closed_weekdays": one.weekdays,
        "closed_days": [
            {"day": day, "reason": reason}
            for day, why in one.days
            for reason in shown_reasons(role, [why])
        ],
        "reasons": shown_reasons(role, one.reasons),
    }
