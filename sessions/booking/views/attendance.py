"""The day itself: arrival, absence, opening, stop."""

from __future__ import annotations

from practice.http.commands import Command, CommandView
from practice.http.roles import CARE, PRACTITIONER_ONLY
from sessions.booking.rendering import render_arrival, render_session
from sessions.booking.serializers.arrival import ArrivalInputSerializer
from sessions.booking.serializers.arrived import ArrivalOutputSerializer
from sessions.booking.serializers.ended import (
    SessionNoShowInputSerializer,
    SessionStopInputSerializer,
)
from sessions.booking.serializers.sessions import SessionOutputSerializer
from sessions.booking.services.attendance import (
    session_arrive,
    session_mark_no_show,
    session_stop,
)


class SessionArrivalView(CommandView):
    """The client came."""

    post = Command(
        "Take the arrival answers",
        tag="sessions",
        roles=CARE,
        input=ArrivalInputSerializer,
        output=ArrivalOutputSerializer,
        errors=(404, 409),
        execute=session_arrive,
        render=render_arrival,
        description="Until hands-on is answered with yes, nothing is hands-on that day. A red flag "
        "stands, on later days too, until a practitioner who may evaluate clears it; free words "
        "close hands-on work until one of them reviewed them. What is not answered keeps its "
        "answer. Where the session is a no-show, `reason` takes that back as `…/correction` does "
        "(409 where the time was taken since); without it 409 `session_status`.",
    )


class SessionNoShowView(CommandView):
    """The client did not come."""

    post = Command(
        "Record that the client did not come",
        tag="sessions",
        roles=CARE,
        input=SessionNoShowInputSerializer,
        output=SessionOutputSerializer,
        errors=(404, 409),
        execute=session_mark_no_show,
        render=render_session,
        description=(
            "Possible from the booked start on; earlier it is 409. It holds until it is "
            "corrected (`…/correction`), or an arrival with its reason takes it back because "
            "the client came late after all."
        ),
    )


class SessionStopView(CommandView):
    """The client said stop."""

    post = Command(
        "Record that hands-on work was stopped",
        tag="sessions",
        roles=PRACTITIONER_ONLY,
        input=SessionStopInputSerializer,
        output=SessionOutputSerializer,
        errors=(404, 409),
        execute=session_stop,
        render=render_session,
        description="Never refused as stale. Lines after the stop need an explanation. Touch may "
        "stop first and the session later; it may have run over its booked end.",
    )
