"""A client on the phone, in one answer."""

from __future__ import annotations

from uuid import UUID

from rest_framework.request import Request
from rest_framework.response import Response

from clients.identity.client_views import ClientRecordView
from practice.clock import clock
from practice.http.openapi import endpoint
from practice.http.roles import CARE
from sessions.desk.selectors.at_a_glance import at_a_glance
from sessions.desk.serializers.at_a_glance import AtAGlanceOutputSerializer


class AtAGlanceView(ClientRecordView):
    """One client at a glance."""

    roles = {"GET": CARE}

    @endpoint(
        "Read a client at a glance",
        response=AtAGlanceOutputSerializer,
        errors=(404,),
        description="For the phone: how to reach them, touch consent in a sentence and whether it "
        "stands, what is missing and whom to ask, the next visits, sessions planned and booked, "
        "no-shows, times that do not suit them, what each authorization has "
        "left and how much of it is booked, what to call about and the last calls. Of health "
        "only that something stands against it.",
        tags=["clients"],
    )
    def get(self, request: Request, client_id: UUID) -> Response:
        """As it stands now."""
        found = at_a_glance(self.actor(request), client_id, clock.now())
        self.log_read(request, client_id, "at a glance")
        return self.read_response(AtAGlanceOutputSerializer(found).data)
