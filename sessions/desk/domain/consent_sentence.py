"""Touch consent in one sentence for the desk, as it stands on a day. Pure."""

from __future__ import annotations

from datetime import date

from clients.consent.domain.age import AgeOfConsent
from clients.consent.domain.event_texts import scope_text
from clients.consent.domain.ledger import ConsentLedger
from clients.consent.domain.standing import (
    Consenting,
    against_signer,
    against_standing,
    who_consents,
    who_renews,
)
from clients.consent.domain.state import ConsentFacts, consent_facts
from clients.consent.domain.terms import ConsentStatus
from clients.health.domain.wording import sites_text, words_text

ASKED_FOR = (ConsentStatus.NONE, ConsentStatus.SUSPENDED)
"""Without a consent that stands: where somebody is asked for one. A refusal is left in peace."""


def consent_sentence(
    ledger: ConsentLedger, birth_date: date | None, day: date, age: AgeOfConsent
) -> str:
    """What stands, until when and without what; or why nothing does, the worst of it. For a minor
    it says that the guardian is asked."""
    consent, grant = consent_facts(ledger), ledger.standing
    asked = who_consents(consent, birth_date, day, age)
    of_minor = " Ask the guardian." if asked is Consenting.GUARDIAN else ""
    against = next(against_standing(consent, birth_date, day, age), None)
    if grant is None:
        found = against.text if against else ""
        return f"{found}{of_minor if ledger.status in ASKED_FOR else ''}"
    if unsigned := _unsigned(consent, birth_date, day, age):
        return unsigned
    if grant.last_day < day:
        return f"The touch consent ended on {grant.last_day.isoformat()}.{of_minor}"
    what = f"{sites_text(grant.scope.sites)}; {words_text(grant.scope.techniques)}"
    if grant.given_on > day:
        return f"The touch consent counts from {grant.given_on.isoformat()} on ({what})."
    held = "; ".join(scope_text(one.scope) for one in ledger.narrowings_of(grant))
    without = f", without: {held}" if held else ""
    return f"The touch consent stands until {grant.last_day.isoformat()} ({what}){without}."


def consent_ending_sentence(
    consent: ConsentFacts, birth_date: date | None, day: date, age: AgeOfConsent
) -> str:
    """On which day a consent ends and who is asked for the next; or why it does not stand even
    now."""
    if unsigned := _unsigned(consent, birth_date, day, age):
        return unsigned
    asked = who_renews(consent, birth_date, age)
    return f"The touch consent ends on {consent.until}: ask the {asked}."


def _unsigned(consent: ConsentFacts, birth_date: date | None, day: date, age: AgeOfConsent) -> str:
    """That who signed could not, and who is asked; empty where they could."""
    found = next(against_signer(consent, birth_date, day, age), None)
    if found is None:
        return ""
    why, asked = found.text, who_consents(consent, birth_date, day, age)
    return f"The touch consent does not stand: {why[:1].lower()}{why[1:]} Ask the {asked}."
