"""Whom the desk asks and calls for a client who does not decide alone."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from uuid import UUID

import msgspec

from clients.consent.domain.ledger import ConsentLedger
from clients.consent.domain.standing import Consenting, who_consents
from clients.consent.domain.state import ConsentFacts, consent_facts
from clients.consent.models import Consent
from clients.consent.selectors import Signing, ages_for
from clients.identity.domain.contact import Guardian
from clients.identity.models import Client


def guardians_asked(clients: Iterable[Client], day: date) -> dict[UUID, Guardian]:
    """By client the guardian on record who decides for them on a day; of who consents alone by
    then, or whose guardian's last day is over, nobody. Two or three queries more where a client
    has a guardian at all."""
    on_record = {one.pk: one for one in clients if one.guardian is not None}
    if not on_record:
        return {}
    ledgers = Consent.objects.filter(pk__in=on_record).values_list("pk", "ledger")
    facts = {key: consent_facts(msgspec.convert(of, ConsentLedger)) for key, of in ledgers}
    signing = {
        key: Signing(facts.get(key, ConsentFacts()), one.birth_date)
        for key, one in on_record.items()
    }
    ages, found = ages_for(signing, day), {}
    for key, one in on_record.items():
        guardian = msgspec.convert(one.guardian, Guardian)
        ended = guardian.until is not None and guardian.until < day
        if not ended and who_consents(*signing[key], day, ages[key]) is Consenting.GUARDIAN:
            found[key] = guardian
    return found


def told(guardian: Guardian) -> str:
    """Who it is in a few words: `Mina Okafor, mother, +14155550166`."""
    return ", ".join(filter(None, (guardian.name, guardian.relation, guardian.phone)))
