"""A session's plan."""

from __future__ import annotations

from uuid import UUID

from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from practice.http.base_views import ApiView
from practice.http.openapi import endpoint
from practice.http.roles import CLINICAL
from sessions.calendar.selectors.sessions import session_get
from sessions.plan.selectors import session_plan_get
from sessions.plan.serializers import SessionPlanOutputSerializer, serialize_session_plan


@extend_schema_view(
    get=endpoint(
        "Read a session's plan",
        response=SessionPlanOutputSerializer,
        errors=(404,),
        description="What may be done today and why not the rest; computed when asked.",
        tags=["sessions"],
    )
)
class SessionPlanView(ApiView):
    """What a practitioner looks at when the session opens."""

    roles = {"GET": CLINICAL}

    def get(self, request: Request, session_id: UUID) -> Response:
        """The plan as of now."""
        actor = self.actor(request)
        row = session_get(actor, session_id)
        self.log_read(request, row.client_id, "plan")
        return self.read_response(
            serialize_session_plan(actor.role, session_plan_get(row)), version=row.version
        )
