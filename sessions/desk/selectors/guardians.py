"""Whom the desk asks and calls for a client who does not decide alone."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from uuid import UUID

import msgspec

from clients.consent.domain.age import AgeOfConsent
from clients.consent.domain.ledger import ConsentLedger
from clients.consent.domain.standing import Consenting, who_consents
from clients.consent.domain.state import ConsentFacts, consent_facts
from clients.consent.models import Consent
from clients.consent.selectors import AgesOfConsent, Signing, ages_for
from clients.identity.domain.contact import Guardian
from clients.identity.models import Client
from sessions.calendar.models import Session
from sessions.desk.selectors.gaps import age_there


def guardians_asked(clients: Iterable[Client], day: date) -> dict[UUID, Guardian]:
    """By client the guardian on record who decides for them on a day, wherever they are seen; of
    who consents alone by then, or whose guardian's last day is over, nobody. Two or three queries
    more where a client has a guardian at all."""
    on_record, signing = _signing(clients)
    ages = ages_for(signing, day) if signing else {}
    return {
        key: guardian
        for key, guardian in on_record.items()
        if _decides(guardian, signing[key], day, ages[key])
    }


def guardians_at(sessions: Sequence[Session]) -> dict[UUID, Guardian]:
    """By session the guardian who decides on its day, by the age of consent where it is held: who
    decides alone there is called themself, however old they must be elsewhere."""
    clients = Client.objects.filter(pk__in={row.client_id for row in sessions})
    on_record, signing = _signing(clients.only("guardian", "birth_date"))
    ages = AgesOfConsent()
    found = {}
    for row in sessions:
        guardian = on_record.get(row.client_id)
        if guardian is None:
            continue
        of_client = signing[row.client_id]
        if _decides(guardian, of_client, row.local_date, age_there(ages, row, of_client)):
            found[row.pk] = guardian
    return found


def _signing(clients: Iterable[Client]) -> tuple[dict[UUID, Guardian], dict[UUID, Signing]]:
    """The guardians on record, and what tells who consents for the same clients."""
    of_guardians = {one.pk: one for one in clients if one.guardian is not None}
    ledgers = Consent.objects.filter(pk__in=of_guardians).values_list("pk", "ledger")
    facts = {key: consent_facts(msgspec.convert(of, ConsentLedger)) for key, of in ledgers}
    return (
        {key: msgspec.convert(one.guardian, Guardian) for key, one in of_guardians.items()},
        {
            key: Signing(facts.get(key, ConsentFacts()), one.birth_date)
            for key, one in of_guardians.items()
        },
    )


def _decides(guardian: Guardian, signing: Signing, day: date, age: AgeOfConsent) -> bool:
    ended = guardian.until is not None and guardian.until < day
    return not ended and who_consents(*signing, day, age) is Consenting.GUARDIAN


def told(guardian: Guardian) -> str:
    """Who it is in a few words: `Mina Okafor, mother, +14155550166`."""
    return ", ".join(filter(None, (guardian.name, guardian.relation, guardian.phone)))
