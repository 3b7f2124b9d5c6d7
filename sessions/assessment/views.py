"""What may be done with a client on a day, with someone, somewhere."""

from __future__ import annotations

from uuid import UUID

from rest_framework.request import Request
from rest_framework.response import Response

from practice.http.answer_forms import AnswerForm, either_form
from practice.http.base_views import ApiView
from practice.http.openapi import endpoint
from practice.http.roles import CARE
from sessions.assessment.selectors.permissions import client_permissions
from sessions.assessment.serializers import (
    ClientPermissionsOutputSerializer,
    PermissionsQueryInputSerializer,
    serialize_client_permissions,
)
from sessions.assessment.short_rendering import serialize_short_permissions
from sessions.assessment.short_serializers import ShortPermissionsOutputSerializer
from sessions.catalogue.selectors import stretch_names


class ClientPermissionsView(ApiView):
    """Hands-on, self-directed or not today, and why."""

    roles = {"GET": CARE}
    query_form = PermissionsQueryInputSerializer

    @endpoint(
        "What may be done with a client",
        response=either_form(
            "EitherPermissions",
            ShortPermissionsOutputSerializer,
            ClientPermissionsOutputSerializer,
        ),
        query=PermissionsQueryInputSerializer,
        errors=(404,),
        description=(
            "In short (the default): a headline that names the worst, what the client is on with"
            " every reason, the other stretches by what may be done of them; what is alike stands"
            " together, and each reason is said once. With `form=long`: stretch by stretch with"
            " every reason and its source. To the desk one mode, health reasons as one."
            " The arrival answers of that day and a stop after them count, whoever took them: a red"
            " flag in the morning closes the afternoon. With `known_at` it is judged by what the"
            " record, law, people and their hours, catalogue, payers and settings said at that"
            " instant; the rules of the program are those of today, and a warning says so."
        ),
        tags=["clients"],
    )
    def get(self, request: Request, client_id: UUID) -> Response:
        """Evaluated when asked, never read from a row."""
        given = self.query(request)
        actor = self.actor(request)
        evaluated, said = client_permissions(
            actor,
            client_id,
            given["practitioner_id"],
            given["facility_id"],
            given.get("on"),
            given.get("known_at"),
        )
        self.log_read(request, client_id, "permissions")
        if given.get("form") is AnswerForm.LONG:
            shown = serialize_client_permissions(actor.role, evaluated, said)
        else:
            shown = serialize_short_permissions(actor.role, evaluated, said, stretch_names())
        return self.read_response(shown)
