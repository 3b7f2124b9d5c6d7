"""The age of medical consent of a session's place and day."""

from __future__ import annotations

from datetime import date

from clients.clinical.domain.facts import ClientFacts
from clients.permissions.domain.consent import signed_as_adult
from clients.permissions.domain.inputs import ConsentAgeFacts
from practice.law.models import HIGHEST_CONSENT_AGE
from practice.law.selectors import consent_age_on


def consent_age_facts(client: ClientFacts, jurisdiction: str, day: date) -> ConsentAgeFacts | None:
    """The row of law, asked only for a client whom it can concern; None: there is none."""
    if signed_as_adult(client, HIGHEST_CONSENT_AGE):
        return None
    row = consent_age_on(jurisdiction, day)
    return ConsentAgeFacts(years=row.years, source=row.source) if row else None
