"""Provider preference and the exceptions that the client agreed to."""

from __future__ import annotations

from uuid import UUID

from rest_framework.request import Request
from rest_framework.response import Response

from clients.identity.client_views import ClientRecordView
from clients.preference.rendering import render_preference_change, serialize_preference
from clients.preference.serializers import (
    PreferenceChangeOutputSerializer,
    PreferenceExceptionInputSerializer,
    ProviderPreferenceInputSerializer,
    ProviderPreferenceOutputSerializer,
)
from clients.preference.services import exception_agree, preference_state
from practice.http.commands import Command
from practice.http.openapi import endpoint
from practice.http.roles import CARE


class ProviderPreferenceView(ClientRecordView):
    """Whom the client prefers, for all work or hands-on work only."""

    roles = {"GET": CARE}
    logged_as = "provider preference"

    @endpoint(
        "Read the provider preference",
        response=ProviderPreferenceOutputSerializer,
        errors=(404,),
        description=(
            "A gender or named people, for all work or hands-on work alone, with the "
            "exceptions that the client agreed to and until when each holds."
        ),
        tags=["consent"],
    )
    def get(self, request: Request, client_id: UUID) -> Response:
        return self.read(request, client_id, serialize_preference)

    put = Command(
        "State the provider preference",
        tag="consent",
        roles=CARE,
        input=ProviderPreferenceInputSerializer,
        output=PreferenceChangeOutputSerializer,
        errors=(404, 409),
        if_match="optional",
        execute=preference_state,
        render=render_preference_change,
        description=(
            "Replaces the one before: a gender or named people, for all work or hands-on "
            "work alone. Exceptions agreed to an earlier one end. Sessions booked against "
            "it are flagged, and `sessions` says of each what it was and is now."
        ),
    )


class PreferenceExceptionListView(ClientRecordView):
    """The client's own exception for one practitioner."""

    post = Command(
        "Record an exception that the client agreed to",
        tag="consent",
        roles=CARE,
        input=PreferenceExceptionInputSerializer,
        output=PreferenceChangeOutputSerializer,
        status=201,
        errors=(404, 409),
        if_match="optional",
        execute=exception_agree,
        render=render_preference_change,
        description=(
            "Lets one practitioner work in spite of what is preferred: for one session by "
            "id or day, or until a day. It must be the client's own word; how it was given "
            "is kept. `sessions` says what each booked one is now, and may be if planned anew."
        ),
    )
