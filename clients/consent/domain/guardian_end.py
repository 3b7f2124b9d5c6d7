"""When a guardian's consent ends: the client becomes of age (ruling 56), or they are guardian no
more. Pure."""

from __future__ import annotations

from datetime import date, timedelta

from clients.consent.domain.ledger import Grant
from clients.consent.domain.terms import ConsentSigner
from clients.identity.domain.dates import birthday
from practice.core.reasons import Reason

SOURCE = "age of medical consent: the jurisdiction's row, else practice policy"


def guardian_end_warning(grant: Grant, birth_date: date, years: int) -> Reason | None:
    """Says that a guardian's consent ends with the day before the client is so many years old,
    and what is needed from then on; None for one that ends on another day."""
    ends = birthday(birth_date, years) - timedelta(days=1)
    if grant.obtained.signer is not ConsentSigner.GUARDIAN or grant.last_day != ends:
        return None
    text = (
        f"A guardian's consent: it ends on {grant.last_day.isoformat()}, the day before the client "
        f"turns {years} and consents for themself. Ask the client for sessions after that."
    )
    return Reason(code="consent.guardian_until", text=text, source=SOURCE)


def guardianship_end_warning(grant: Grant) -> Reason | None:
    """Says that the guardian on record ends before the consent that they gave would."""
    if grant.last_day == grant.until:
        return None
    text = (
        f"The consent counts until {grant.last_day.isoformat()} and not until "
        f"{grant.until.isoformat()}: {grant.obtained.guardian_name} is guardian until then. Ask "
        "who is guardian after that for their consent."
    )
    return Reason(code="consent.guardianship_ends", text=text, source="the client's record")
