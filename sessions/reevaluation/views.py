"""Why something was allowed: what a session was permitted to be, as it was kept."""

from __future__ import annotations

from uuid import UUID

from rest_framework.request import Request
from rest_framework.response import Response

from practice.http.base_views import ApiView
from practice.http.openapi import endpoint
from practice.http.roles import CLINICAL
from sessions.calendar.selectors.sessions import session_get
from sessions.reevaluation.selectors.kept_permissions import kept_permissions
from sessions.reevaluation.serializers import (
    KeptPermissionsListOutputSerializer,
    KeptPermissionsQuerySerializer,
    serialize_kept_permissions,
)


class KeptPermissionsView(ApiView):
    """The verdicts of a session as they were kept."""

    roles = {"GET": CLINICAL}
    query_form = KeptPermissionsQuerySerializer

    @endpoint(
        "Why a session was allowed",
        response=KeptPermissionsListOutputSerializer,
        query=KeptPermissionsQuerySerializer,
        errors=(404,),
        description="What was kept when the session was booked, moved, arrived at, opened and"
        " signed: stretch by stretch with every reason, and the licence, sign-offs, supervision,"
        " law, consent, orders and settings that were used, as they stood then.",
        tags=["sessions"],
    )
    def get(self, request: Request, session_id: UUID) -> Response:
        """Read from the record, never judged again."""
        actor = self.actor(request)
        row = session_get(actor, session_id)
        kept = kept_permissions(row.client_id, row.pk, **self.query(request))
        self.log_read(request, row.client_id, "kept permissions")
        shown = {"results": [serialize_kept_permissions(actor.role, one) for one in kept]}
        return self.read_response(KeptPermissionsListOutputSerializer(shown).data)
