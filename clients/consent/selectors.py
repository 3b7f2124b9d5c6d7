"""Questions on a client's touch consent."""

from __future__ import annotations

from uuid import UUID

from clients.consent.domain.age import counted_age
from clients.consent.models import Consent
from clients.identity.selectors import client_jurisdictions
from practice.clock import clock
from practice.law.selectors import consent_age_on


def consent_of(client_id: UUID) -> Consent | None:
    """The client's touch consent, or None where none is on record."""
    return Consent.objects.filter(pk=client_id).first()


def consent_ages(client_id: UUID, otherwise: int) -> list[int]:
    """The ages of medical consent today at the client's facilities, in years; ``otherwise``
    the practice's own, which counts where there is no row."""
    codes = client_jurisdictions(client_id)
    rows = [consent_age_on(code, clock.now().date()) for code in codes]
    return [
        counted_age(row.years, otherwise, verified=row.verified_on is not None)
        if row
        else otherwise
        for row in rows
    ] or [otherwise]
