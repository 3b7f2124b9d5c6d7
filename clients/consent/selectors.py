"""A client's record in this app: what stands now, what happened, and what was known when."""

from __future__ import annotations

from uuid import UUID

from clients.consent.models import Consent


def consent_of(client_id: UUID) -> Consent | None:
    """The client's touch consent, or None where none is on record."""
    return Consent.objects.filter(pk=client_id).first()
