"""The answer to an arrival."""

from __future__ import annotations

from rest_framework import serializers

from practice.http.serializers import RecordSerializer
from sessions.assessment.serializers import ArrivalPermissionsOutputSerializer
from sessions.booking.serializers.sessions import SessionOutputSerializer


class ArrivalOutputSerializer(RecordSerializer):
    """The session after arrival, and what the client's answers allow."""

    session = SessionOutputSerializer(help_text="The session.")
    permissions = ArrivalPermissionsOutputSerializer(
        help_text="What may be done today, of the session as a whole; what is closed of it:"
        " `session.closed`."
    )
    plan = serializers.CharField(
        allow_null=True,
        help_text="Where the plan says it stretch by stretch; null to who may not read it.",
    )
