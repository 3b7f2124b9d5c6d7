"""The time of a session: the suggested split and the practitioner's own."""

from __future__ import annotations

from uuid import UUID

from rest_framework.request import Request
from rest_framework.response import Response

from practice.http.commands import Command, CommandView
from practice.http.openapi import endpoint
from practice.http.roles import CLINICAL
from sessions.calendar.selectors.sessions import session_get
from sessions.session_split.rendering import render_session_split, serialize_session_split
from sessions.session_split.selectors.facts import SplitDayFacts
from sessions.session_split.selectors.split import session_split_get
from sessions.session_split.serializers.split import (
    SessionSplitInputSerializer,
    SessionSplitOutputSerializer,
    SessionSplitQueryInputSerializer,
)
from sessions.session_split.services import session_split_set


class SessionSplitView(CommandView):
    """How the booked time is divided."""

    roles = {"GET": CLINICAL}
    query_form = SessionSplitQueryInputSerializer

    @endpoint(
        "Suggest how to split the session",
        response=SessionSplitOutputSerializer,
        query=SessionSplitQueryInputSerializer,
        errors=(404,),
        description="Practice policy, shown as such; sums exactly to the booked length.",
        tags=["sessions"],
    )
    def get(self, request: Request, session_id: UUID) -> Response:
        """The suggestion with its reasons."""
        actor = self.actor(request)
        session = session_get(actor, session_id)
        self.log_read(request, session.client_id, "session split")
        found = session_split_get(session, SplitDayFacts(**self.query(request)))
        return Response(serialize_session_split(actor.role, session, found))

    put = Command(
        "Plan your own session split",
        tag="sessions",
        roles=CLINICAL,
        input=SessionSplitInputSerializer,
        output=SessionSplitOutputSerializer,
        errors=(404, 409),
        if_match="optional",
        execute=session_split_set,
        render=render_session_split,
        description="It wins over the suggestion; loading criteria not met take a reason.",
    )
