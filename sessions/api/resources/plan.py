"""A session's plan."""

from __future__ import annotations

from uuid import UUID

from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from practice.api.describe import described
from practice.api.roles import CLINICAL
from practice.api.views import ApiView
from sessions.api.forms.plan import PlanForm, shown_plan
from sessions.selectors.calendar import session_get
from sessions.selectors.plan import session_plan


@extend_schema_view(
    get=described(
        "Read a session's plan",
        gives=PlanForm,
        refuses=(404,),
        description="What may be done today and why not the rest; computed when asked.",
        tags=["sessions"],
    )
)
class SessionPlan(ApiView):
    """What a practitioner looks at when the session opens."""

    roles = {"GET": CLINICAL}

    def get(self, request: Request, session_id: UUID) -> Response:
        """The plan as of now."""
        actor = self.actor(request)
        row = session_get(actor, session_id)
        self.log_read(request, row.client_id, "plan")
        return self.shown(shown_plan(actor.role, session_plan(row)), version=row.version)
