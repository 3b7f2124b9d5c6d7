"""Questions on a client's touch consent."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import date
from typing import NamedTuple
from uuid import UUID

import msgspec

from clients.consent.domain.age import PRACTICE_POLICY, AgeOfConsent, counted_age
from clients.consent.domain.decisions import ConsentSettings
from clients.consent.domain.ledger import ConsentLedger
from clients.consent.domain.standing import age_matters
from clients.consent.domain.state import ConsentFacts, consent_facts
from clients.consent.models import Consent
from clients.identity.models import Client, ClientFacility
from clients.identity.selectors import client_jurisdictions
from practice.clock import clock
from practice.law.models import HIGHEST_CONSENT_AGE, ConsentAge
from practice.law.selectors import in_effect_on
from practice.people_and_places.selectors.kept import places
from practice.policy.selectors import settings_group


def consent_of(client_id: UUID) -> Consent | None:
    """The client's touch consent, or None where none is on record."""
    return Consent.objects.filter(pk=client_id).first()


class AgesOfConsent:
    """The ages of medical consent by jurisdiction; the practice's own where there is no row.

    Each jurisdiction is read once.
    """

    def __init__(self) -> None:
        self._own = settings_group("permissions", ConsentSettings)[0].consent_age_years
        self._rows: dict[str, list[ConsentAge]] = {}

    def at(self, jurisdiction: str, day: date) -> AgeOfConsent:
        """The age of one jurisdiction on a day."""
        if jurisdiction not in self._rows:
            rows = ConsentAge.objects.filter(jurisdiction=jurisdiction)
            self._rows[jurisdiction] = list(rows)
        row = in_effect_on(self._rows[jurisdiction], day)
        if row is None:
            return self.own
        years = counted_age(row.years, self._own, verified=row.verified_on is not None)
        return AgeOfConsent(years, row.source)

    def strictest(self, jurisdictions: Iterable[str], day: date) -> AgeOfConsent:
        """The highest of some jurisdictions; the practice's own where there is none."""
        return max((self.at(one, day) for one in jurisdictions), default=self.own)

    @property
    def own(self) -> AgeOfConsent:
        """The practice's own."""
        return AgeOfConsent(self._own, PRACTICE_POLICY)


def consent_ages(client_id: UUID) -> list[int]:
    """The ages of medical consent today at the client's facilities, in years."""
    ages, today = AgesOfConsent(), clock.now().date()
    codes = client_jurisdictions(client_id)
    return [ages.at(code, today).years for code in codes] or [ages.own.years]


class Signing(NamedTuple):
    """What tells who consents for a client: the consent as it stands, and their birth date."""

    consent: ConsentFacts
    birth_date: date | None


def signing_of(rows: Iterable[Consent]) -> dict[UUID, Signing]:
    """The same for the clients of some rows, by their id: one query."""
    kept = {row.pk: consent_facts(msgspec.convert(row.ledger, ConsentLedger)) for row in rows}
    born = dict(Client.objects.filter(pk__in=kept).values_list("pk", "birth_date"))
    return {key: Signing(consent, born.get(key)) for key, consent in kept.items()}


def ages_for(people: Mapping[UUID, Signing], day: date) -> dict[UUID, AgeOfConsent]:
    """By client the age of medical consent on a day: the highest of their facilities. Asked of
    those alone whom it can concern."""
    ages, known = AgesOfConsent(), places()
    asked = {key for key, one in people.items() if age_matters(*one, day, HIGHEST_CONSENT_AGE)}
    codes: defaultdict[UUID, set[str]] = defaultdict(set)
    there = ClientFacility.objects.filter(client_id__in=asked)
    # Django asks the database nothing where the set is empty.
    for client_id, facility_id in there.values_list("client_id", "facility_id"):
        if facility_id in known:
            codes[client_id].add(known[facility_id].jurisdiction)
    return {one: ages.strictest(codes[one], day) for one in people}
