"""Provider preference and the exceptions that the client agreed to."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from clients.api import shown
from clients.api.clientview import ClientView
from clients.api.forms.consent import ExceptionForm, PreferenceForm, PreferenceShown
from clients.services import exception_agree, preference_state
from practice.api.describe import described
from practice.api.roles import CARE


@extend_schema_view(
    get=described(
        "Read the provider preference", gives=PreferenceShown, refuses=(404,), tags=["consent"]
    ),
    put=described(
        "State the provider preference",
        takes=PreferenceForm,
        gives=PreferenceShown,
        refuses=(404, 409),
        if_match="optional",
        idempotency="optional",
        description="Exceptions agreed to an earlier preference end.",
        tags=["consent"],
    ),
)
class Preference(ClientView):
    """Whom she prefers, for all work or hands-on work only."""

    roles = {"GET": CARE, "PUT": CARE}
    form = PreferenceShown

    def get(self, request: Request, client_id: UUID) -> Response:
        """As it stands."""
        return self.read(request, client_id, "provider preference", shown.preference)

    def put(self, request: Request, client_id: UUID) -> Any:
        """State it."""
        stated, version = PreferenceForm.read(request.data), self.if_match(request)
        return self.change(
            request,
            client_id,
            lambda work: preference_state(
                work, client_id=client_id, command=stated, if_match=version
            ),
            shown.preference,
        )


@extend_schema_view(
    post=described(
        "Record an exception that the client agreed to",
        takes=ExceptionForm,
        gives=PreferenceShown,
        status=201,
        refuses=(404, 409),
        if_match="optional",
        idempotency="optional",
        description="For one session (by id or day) or until a day; it is the client's own.",
        tags=["consent"],
    )
)
class Exceptions(ClientView):
    """Her own exception for one practitioner."""

    roles = {"POST": CARE}
    form = PreferenceShown

    def post(self, request: Request, client_id: UUID) -> Any:
        """Record it."""
        agreed, version = ExceptionForm.read(request.data), self.if_match(request)
        return self.change(
            request,
            client_id,
            lambda work: exception_agree(
                work, client_id=client_id, command=agreed, if_match=version
            ),
            shown.preference,
            status=201,
        )
