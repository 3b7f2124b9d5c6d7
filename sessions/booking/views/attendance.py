"""The day itself: arrival, absence, opening, stop, and what may be done today."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema_view
from rest_framework import serializers
from rest_framework.request import Request

from practice.http.openapi import endpoint
from practice.http.roles import CARE, PRACTITIONER_ONLY
from practice.http.views import ApiView, CommandResponse
from practice.work.unit_of_work import UnitOfWork
from sessions.assessment.serializers import (
    SessionPermissionsOutputSerializer,
    serialize_session_permissions,
)
from sessions.booking.domain.commands import MarkNoShow, RecordArrival, StopSession
from sessions.booking.serializers.arrival import (
    ArrivalAnswersInputSerializer,
    ArrivalInputSerializer,
)
from sessions.booking.serializers.sessions import (
    SessionNoShowInputSerializer,
    SessionOutputSerializer,
    SessionStopInputSerializer,
)
from sessions.booking.services.attendance import (
    session_arrive,
    session_mark_no_show,
    session_open,
    session_stop,
)
from sessions.booking.views.sessions import session_response


class ArrivalOutputSerializer(serializers.Serializer[Any]):
    """The session after arrival, and what her answers allow."""

    session = SessionOutputSerializer(help_text="The session.")
    permissions = SessionPermissionsOutputSerializer(help_text="What may be done today.")


@extend_schema_view(
    post=endpoint(
        "Take the arrival answers",
        request=ArrivalInputSerializer,
        response=ArrivalOutputSerializer,
        errors=(404, 409),
        idempotency="optional",
        description="Until hands-on is answered with yes, nothing is hands-on that day. A red flag "
        "stands for the day: only a practitioner answers it away (`red_flag_stands`).",
        tags=["sessions"],
    )
)
class SessionArrivalView(ApiView):
    """The client came."""

    roles = {"POST": CARE}

    def post(self, request: Request, session_id: UUID) -> Any:
        """Take the answers; again until the note is signed."""
        given = ArrivalInputSerializer.checked(request.data)
        at = given.pop("occurred_at", None)
        command = RecordArrival(
            session_id=session_id,
            answers=ArrivalAnswersInputSerializer.to_answers(given),
            occurred_at=at,
        )

        def execute(uow: UnitOfWork) -> CommandResponse:
            done, session_permissions = session_arrive(uow, command)
            shown = session_response(uow, done)
            evaluated = serialize_session_permissions(uow.actor.role, session_permissions)
            return CommandResponse(
                {"session": shown.data, "permissions": evaluated}, version=shown.version
            )

        return self.command(request, execute)


@extend_schema_view(
    post=endpoint(
        "Record that the client did not come",
        request=SessionNoShowInputSerializer,
        response=SessionOutputSerializer,
        errors=(404, 409),
        idempotency="optional",
        tags=["sessions"],
    )
)
class SessionNoShowView(ApiView):
    """The client did not come."""

    roles = {"POST": CARE}

    def post(self, request: Request, session_id: UUID) -> Any:
        """Record it, once the session has started."""
        command = MarkNoShow(
            session_id=session_id, **SessionNoShowInputSerializer.checked(request.data)
        )
        return self.command(
            request, lambda uow: session_response(uow, session_mark_no_show(uow, command))
        )


@extend_schema_view(
    post=endpoint(
        "Open a session",
        response=SessionOutputSerializer,
        errors=(404, 409),
        idempotency="optional",
        description="By its own practitioner, after arrival. What was permitted then is kept.",
        tags=["sessions"],
    )
)
class SessionOpeningView(ApiView):
    """The practitioner begins."""

    roles = {"POST": PRACTITIONER_ONLY}

    def post(self, request: Request, session_id: UUID) -> Any:
        """Open it."""
        return self.command(
            request, lambda uow: session_response(uow, session_open(uow, session_id))
        )


@extend_schema_view(
    post=endpoint(
        "Record that hands-on work was stopped",
        request=SessionStopInputSerializer,
        response=SessionOutputSerializer,
        errors=(404, 409),
        idempotency="optional",
        description="Never refused as stale. Lines after the stop need an explanation.",
        tags=["sessions"],
    )
)
class SessionStopView(ApiView):
    """The client said stop."""

    roles = {"POST": PRACTITIONER_ONLY}

    def post(self, request: Request, session_id: UUID) -> Any:
        """Record it."""
        command = StopSession(
            session_id=session_id, **SessionStopInputSerializer.checked(request.data)
        )
        return self.command(request, lambda uow: session_response(uow, session_stop(uow, command)))
