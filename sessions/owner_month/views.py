"""The owner's month in one read."""

from __future__ import annotations

from rest_framework.request import Request
from rest_framework.response import Response

from practice.clock import clock
from practice.http.base_views import ApiView
from practice.http.openapi import endpoint
from practice.http.roles import OWNER_ONLY
from sessions.owner_month.selectors import month_of, owner_month
from sessions.owner_month.serializers import MonthQuerySerializer, OwnerMonthOutputSerializer


class OwnerMonthView(ApiView):
    """A month of the practice."""

    roles = {"GET": OWNER_ONLY}
    query_form = MonthQuerySerializer

    @endpoint(
        "Read the owner's month",
        response=OwnerMonthOutputSerializer,
        query=MonthQuerySerializer,
        description="Licences that end, law that nobody verified, red flags and who lifted them, "
        "narrowed sessions, work outside its permission, unsigned notes, incidents, texts of "
        "nobody that wait to be settled, re-checks by practitioner, hours by practitioner and "
        "room. Each figure counts what the list behind its `link` shows. No client is named; the "
        "number of statements is the same for every month.",
        tags=["owner"],
    )
    def get(self, request: Request) -> Response:
        """All headlines."""
        asked = self.query(request).get("month")
        found = owner_month(month_of(self.actor(request), clock.now(), asked))
        return self.read_response(OwnerMonthOutputSerializer(found).data)
