"""Whether a client said that they come."""

from __future__ import annotations

from practice.http.commands import Command, CommandView
from practice.http.roles import CARE
from sessions.booking.rendering import render_session
from sessions.booking.serializers.confirming import SessionConfirmationInputSerializer
from sessions.booking.serializers.sessions import SessionOutputSerializer
from sessions.booking.services.confirming import session_confirm


class SessionConfirmationView(CommandView):
    """The client comes."""

    post = Command(
        "Record that a session is confirmed",
        tag="sessions",
        roles=CARE,
        input=SessionConfirmationInputSerializer,
        output=SessionOutputSerializer,
        errors=(404, 409),
        if_match="optional",
        execute=session_confirm,
        render=render_session,
        description="Who said that the client comes, and how. It holds for the time and place "
        "that are booked: moved to another, the session is not confirmed any more. Taken back "
        "with `confirmed` false and the reason.",
    )
