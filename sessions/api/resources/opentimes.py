"""Open times: what the desk may offer a client."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from practice.api.describe import described
from practice.api.roles import CARE
from practice.api.views import ApiView
from practice.clock import clock
from practice.domain.terms import Role
from sessions.api.forms.opentimes import OpenTimesAsked, OpenTimesForm
from sessions.api.forms.shared import shown_reasons
from sessions.selectors.opentimes import Offer, OpenTimes, OpenTimesQuery, open_times
from sessions.services.calendar import calendar_settings


@extend_schema_view(
    get=described(
        "Find open times for a client",
        gives=OpenTimesForm,
        query=OpenTimesAsked,
        refuses=(404,),
        description="Hours, rooms, people and her preference are obeyed; each can be booked.",
        tags=["sessions"],
    )
)
class OpenTimesView(ApiView):
    """Times that can be booked as they are offered."""

    roles = {"GET": CARE}
    query_form = OpenTimesAsked

    def get(self, request: Request) -> Response:
        """The offers, earliest first."""
        given = self.query(request)
        actor = self.actor(request)
        asked = OpenTimesQuery(
            client_id=given["client"],
            facility_id=given["facility"],
            practitioner_id=given.get("practitioner"),
            first_day=given["from"],
            last_day=given["to"],
            minutes=given["minutes"],
            limit=given.get("limit", 50),
        )
        found = open_times(actor, asked, calendar_settings(), clock.now())
        self.log_read(request, asked.client_id, "open times")
        return Response(shown_times(actor.role, found))


def shown_times(role: Role, found: OpenTimes) -> Any:
    """Open times as one role may read them."""
    left_out = [
        {"practitioner_id": who, "reasons": shown_reasons(role, reasons)}
        for who, reasons in sorted(found.left_out.items())
    ]
    offers = [_offer(role, one) for one in found.offers]
    return OpenTimesForm({"results": offers, "more": found.more, "left_out": left_out}).data


def _offer(role: Role, offer: Offer) -> dict[str, Any]:
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
    }
