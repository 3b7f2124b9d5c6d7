"""The answer to an arrival."""

from __future__ import annotations

from practice.http.serializers import RecordSerializer
from sessions.assessment.serializers import SessionPermissionsOutputSerializer
from sessions.booking.serializers.sessions import SessionOutputSerializer


class ArrivalOutputSerializer(RecordSerializer):
    """The session after arrival, and what the client's answers allow."""

    session = SessionOutputSerializer(help_text="The session.")
    permissions = SessionPermissionsOutputSerializer(help_text="What may be done today.")
