"""A client's record in this app: what stands now, what happened, and what was known when."""

from __future__ import annotations

from uuid import UUID

from clients.preference.models import Preference


def preference_of(client_id: UUID) -> Preference | None:
    """Whom the client prefers, or None where they never said."""
    return Preference.objects.filter(pk=client_id).first()
