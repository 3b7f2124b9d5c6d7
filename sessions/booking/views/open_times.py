"""Open times: what the desk may offer a client."""

from __future__ import annotations

from typing import Any

from rest_framework.request import Request
from rest_framework.response import Response

from practice.clock import clock
from practice.core.terms import Role
from practice.http.base_views import ApiView
from practice.http.openapi import endpoint
from practice.http.reasons import shown_reasons
from practice.http.roles import CARE
from sessions.booking.selectors.open_times import (
    OpenTimeOffer,
    OpenTimes,
    OpenTimesQuery,
    open_times,
)
from sessions.booking.serializers.open_times import (
    OpenTimesOutputSerializer,
    OpenTimesQueryInputSerializer,
)
from sessions.calendar.selectors.facilities import calendar_settings


class OpenTimesView(ApiView):
    """Times that can be booked as they are offered."""

    roles = {"GET": CARE}
    query_form = OpenTimesQueryInputSerializer

    @endpoint(
        "Find open times for a client",
        response=OpenTimesOutputSerializer,
        query=OpenTimesQueryInputSerializer,
        errors=(404,),
        description="Hours, rooms, people and preference are obeyed; each can be booked.",
        tags=["sessions"],
    )
    def get(self, request: Request) -> Response:
        """The offers, earliest first."""
        given = self.query(request)
        actor = self.actor(request)
        asked = OpenTimesQuery(
            client_id=given["client_id"],
            facility_id=given["facility_id"],
            practitioner_id=given.get("practitioner_id"),
            first_day=given["from"],
            last_day=given["to"],
            minutes=given["minutes"],
            limit=given.get("limit", 50),
        )
        found = open_times(actor, asked, calendar_settings(), clock.now())
        self.log_read(request, asked.client_id, "open times")
        return Response(serialize_open_times(actor.role, found))


def serialize_open_times(role: Role, found: OpenTimes) -> Any:
    """Open times as one role may read them."""
    excluded = [
        {"practitioner_id": who, "reasons": shown_reasons(role, reasons)}
        for who, reasons in sorted(found.excluded.items())
    ]
    offers = [_serialize_offer(role, one) for one in found.offers]
    return OpenTimesOutputSerializer(
        {"results": offers, "more": found.more, "excluded": excluded}
    ).data


def _serialize_offer(role: Role, offer: OpenTimeOffer) -> dict[str, Any]:
    return {
        "practitioner_id": offer.practitioner.pk,
        "practitioner_name": offer.practitioner.name,
        "credential": offer.practitioner.credential,
        "facility_id": offer.facility.pk,
        "room_id": offer.room_id,
        "starts_at": offer.starts_at,
        "ends_at": offer.ends_at,
        "mode": offer.mode,
        "reasons": shown_reasons(role, offer.reasons),
        "warnings": shown_reasons(role, offer.warnings),
    }
