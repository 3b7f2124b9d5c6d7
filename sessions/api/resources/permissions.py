"""What may be done with a client on a day, with someone, somewhere."""

from __future__ import annotations

from uuid import UUID

from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from practice.api.describe import described
from practice.api.roles import CARE
from practice.api.views import ApiView
from sessions.api.forms.permissions import (
    PermissionsAsked,
    PermissionsForm,
    shown_permissions,
)
from sessions.selectors.permissions import client_permissions


@extend_schema_view(
    get=described(
        "What may be done with a client",
        gives=PermissionsForm,
        query=PermissionsAsked,
        refuses=(404,),
        description=(
            "Stretch by stretch with every reason; to the desk one verdict, health reasons as one."
            " The arrival answers of that day and a stop after them count, whoever took them: a red"
            " flag in the morning closes the afternoon."
        ),
        tags=["clients"],
    )
)
class ClientPermissions(ApiView):
    """Hands-on, self-directed or not today, and why."""

    roles = {"GET": CARE}
    query_form = PermissionsAsked

    def get(self, request: Request, client_id: UUID) -> Response:
        """Judged when asked, never read from a row."""
        given = self.query(request)
        actor = self.actor(request)
        judged, said = client_permissions(
            actor, client_id, given["practitioner"], given["facility"], given.get("on")
        )
        self.log_read(request, client_id, "permissions")
        return self.shown(shown_permissions(actor.role, judged, said))
