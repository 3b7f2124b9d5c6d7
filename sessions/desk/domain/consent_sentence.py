"""Touch consent in one sentence for the desk, as it stands on a day. Pure."""

from __future__ import annotations

from datetime import date

from clients.consent.domain.event_texts import scope_text
from clients.consent.domain.ledger import ConsentLedger
from clients.consent.domain.terms import ConsentStatus
from clients.health.domain.wording import sites_text, words_text
from clients.permissions.domain.consent import REASONS_WITHOUT_CONSENT


def consent_sentence(ledger: ConsentLedger, day: date) -> str:
    """What stands, until when and without what; or why nothing does."""
    grant = ledger.standing
    if grant is None:
        status = ledger.status if ledger.status in REASONS_WITHOUT_CONSENT else ConsentStatus.NONE
        return REASONS_WITHOUT_CONSENT[status][1]
    if grant.last_day < day:
        return f"The touch consent ended on {grant.last_day.isoformat()}."
    what = f"{sites_text(grant.scope.sites)}; {words_text(grant.scope.techniques)}"
    if grant.given_on > day:
        return f"The touch consent counts from {grant.given_on.isoformat()} on ({what})."
    held = "; ".join(scope_text(one.scope) for one in ledger.narrowings_of(grant))
    without = f", without: {held}" if held else ""
    return f"The touch consent stands until {grant.last_day.isoformat()} ({what}){without}."
