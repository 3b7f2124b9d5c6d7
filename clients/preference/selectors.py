"""A client's record on this floor: what stands now, what happened, and what was known when."""

from __future__ import annotations

from uuid import UUID

from clients.preference.models import Preference


def preference_of(client_id: UUID) -> Preference | None:
    """Whom she prefers, or None where she never said."""
    return Preference.objects.filter(pk=client_id).first()
