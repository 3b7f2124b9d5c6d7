"""Touch consent after a change, with what the change did to the sessions to come."""

from __future__ import annotations

from clients.consent.rendering import serialize_consent
from clients.consent.serializers import ConsentOutputSerializer
from clients.identity.booked_sessions import BookedSessionOutputSerializer, sessions_after
from practice.http.representations import Representation
from practice.work.unit_of_work import Outcome, UnitOfWork


class ConsentChangeOutputSerializer(ConsentOutputSerializer):
    """Touch consent after a change, and what the change did to the sessions to come."""

    sessions = BookedSessionOutputSerializer(
        many=True, help_text="Sessions that have not ended, by start: what each was and is now."
    )


def render_consent_change(uow: UnitOfWork, outcome: Outcome) -> Representation:
    """Touch consent as it stands, with the sessions to come."""
    role = uow.actor.role
    data = dict(serialize_consent(role, outcome.client_id, outcome.version))
    data["sessions"] = sessions_after(uow, outcome)
    return Representation(data, outcome.version)
