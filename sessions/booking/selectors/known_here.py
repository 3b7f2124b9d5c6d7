"""Whether a client is known where a session would take place."""

from __future__ import annotations

from uuid import UUID

from clients.identity.models import Client
from practice.core.reasons import Reason
from sessions.booking.domain.commands import Slot


def not_known_here(client_id: UUID, slot: Slot) -> list[Reason]:
    """A warning where the client is not known at the facility: its staff do not see the record."""
    known = Client.objects.filter(pk=client_id).values_list("facility_ids", flat=True).first()
    if str(slot.facility_id) in map(str, known or []):
        return []
    text = "The client is not known at this facility: add it to the client's record."
    return [Reason(code="not_known_here", text=text, source="the client's record")]
