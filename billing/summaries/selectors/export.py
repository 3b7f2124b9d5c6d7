"""What a visit summary is made of, read under the client's lock."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import Q

from billing.authorizations.domain.day_warnings import (
    notes_unsigned,
    notes_waiting,
    units_waiting,
    used_after_end,
)
from billing.authorizations.domain.terms import UncoveredReason
from billing.authorizations.models import Authorization, Visit
from billing.authorizations.selectors.naming import days_outside
from billing.payers.models import Payer, ServiceCode
from billing.payers.selectors import payer_rules
from billing.summaries.domain.rows import RowFacts, SummaryNames
from clients.identity.models import Client
from practice.clock import clock
from practice.core.reasons import Reason
from practice.people_and_places.models.facilities import Facility
from practice.people_and_places.models.practitioners import Practitioner
from practice.people_and_places.models.staff import Staff
from practice.policy.models import PRACTICE_ID, Practice
from sessions.calendar.models import Session
from sessions.notes.selectors.upcoming import unsigned_sessions

AMOUNTS = (
    *(f"visits_{one}" for one in ("authorized", "used", "left")),
    *(f"units_{one}" for one in ("authorized", "used", "reserved", "left")),
    *(f"minutes_{one}" for one in ("authorized", "used", "reserved", "left")),
)


@dataclass(frozen=True)
class SummaryFacts:
    """An authorization's row with its amounts, and the names of whom and what it is about.

    ``client`` and ``birth_date`` are those by which a payer knows the client.
    """

    authorization: Authorization
    practice: str
    zone: str
    payer: str
    client: str
    birth_date: date | None

    @property
    def amounts(self) -> dict[str, int | None]:
        """What is authorized, used and left."""
        return {name: getattr(self.authorization, name) for name in AMOUNTS}


def summary_facts(authorization_id: UUID) -> SummaryFacts:
    """As the read tables have it now."""
    row = Authorization.objects.get(pk=authorization_id)
    practice = Practice.objects.get(pk=PRACTICE_ID)
    # Without one the record was erased, which is refused later.
    client = Client.objects.filter(pk=row.client_id).only("name", "birth_date").first()
    return SummaryFacts(
        authorization=row,
        practice=practice.name,
        zone=practice.zone,
        payer=Payer.objects.values_list("name", flat=True).get(pk=row.payer_id),
        client=client.name if client else "",
        birth_date=client.birth_date if client else None,
    )


def row_facts(authorization: Authorization) -> RowFacts:
    """What the rows of an authorization's visits are made by."""
    return row_facts_of([authorization])[authorization.pk]


def row_facts_of(authorizations: Collection[Authorization]) -> dict[UUID, RowFacts]:
    """The same of several, by id of the authorization; as many statements as for one."""
    names = summary_names()
    rules = payer_rules({one.payer_id for one in authorizations})
    return {one.pk: RowFacts(names, rules, one.last_day) for one in authorizations}


def summary_names() -> SummaryNames:
    """Names of every facility, person and service code of the practice: four short tables."""
    places = list(Facility.objects.values_list("pk", "name", "zone"))
    practitioners = list(Practitioner.objects.values_list("pk", "name", "npi"))
    people = [*Staff.objects.values_list("pk", "name"), *((pk, n) for pk, n, _ in practitioners)]
    return SummaryNames(
        facilities={pk: name for pk, name, _ in places},
        zones={pk: ZoneInfo(zone) for pk, _, zone in places},
        codes=dict(ServiceCode.objects.values_list("code", "description")),
        people=dict(people),
        npis={pk: npi for pk, _, npi in practitioners},
    )


def export_warnings(authorization_id: UUID, first: date, last: date) -> list[Reason]:
    """What a person should settle before a summary is sent: units of its period that wait for
    a choice, notes that await their co-signature, sessions to which the client came without a
    signed note, use after the authorization's last day."""
    row = Authorization.objects.get(pk=authorization_id)
    code = f"|{UncoveredReason.AWAITING_CO_SIGNATURE.value}|"
    waiting = Visit.objects.filter(
        Q(awaiting_override=True) | Q(uncovered_reason_codes__contains=code),
        authorization_id=row.pk,
        local_date__range=(first, last),
    ).values_list("local_date", "awaiting_override", "uncovered_reason_codes")
    found = sorted(waiting)
    return [
        *units_waiting(row.number, [day for day, chosen, _ in found if chosen]),
        *notes_waiting(row.number, [day for day, _, codes in found if code in codes]),
        *notes_unsigned(_unsigned_days(row.client_id, first, last)),
        *used_after_end(row.number, row.last_day, days_outside([row])[1][row.pk]),
    ]


def _unsigned_days(client_id: UUID, first: date, last: date) -> list[date]:
    """The days of sessions that are over, to which the client came and of which no note is
    signed, the first first."""
    over = Session.objects.filter(
        client_id=client_id, local_date__range=(first, last), ends_at__lte=clock.now()
    )
    return sorted(unsigned_sessions(over).values_list("local_date", flat=True))
