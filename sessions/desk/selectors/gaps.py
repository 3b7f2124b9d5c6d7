"""What of the clients' records is missing for some sessions: read once for all of them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime
from typing import Any
from uuid import UUID

import msgspec
from django.db.models import Max

from clients.consent.domain.age import AgeOfConsent
from clients.consent.domain.ledger import ConsentLedger
from clients.consent.domain.standing import age_matters
from clients.consent.domain.state import consent_facts
from clients.consent.models import Consent
from clients.consent.selectors import AgesOfConsent, Signing
from clients.health.models import HealthHistory
from clients.identity.models import Client
from clients.orders.domain.terms import OrderKind
from clients.orders.models import Order
from clients.permissions.domain.results import HandsOnExtent
from clients.permissions.domain.settings import PermissionSettings
from practice.core.reasons import Reason
from practice.law.models import HIGHEST_CONSENT_AGE
from practice.people_and_places.selectors.kept import places
from practice.policy.selectors import settings_group
from sessions.calendar.models import Session
from sessions.calendar.selectors.gaps import GapSource
from sessions.desk.domain.papers import TEXTS, OnRecord, Planned, record_gaps


def reasons_against(row: Session) -> tuple[Reason, ...]:
    """All that stands against a session or a part of it, as its row keeps it."""
    kept = [*row.reasons, *(row.flag_reasons if row.flagged else ())]
    for group in row.closed:
        kept += group["reasons"]
    return tuple(dict.fromkeys(msgspec.convert(kept, list[Reason])))


def on_record(client_ids: set[UUID]) -> dict[UUID, OnRecord]:
    """What is on record of some clients: a query for each kind of paper."""
    consents = Consent.objects.filter(pk__in=client_ids)
    histories = HealthHistory.objects.filter(pk__in=client_ids)
    found: dict[UUID, dict[str, Any]] = {one: {} for one in client_ids}
    for key, recorded_at, ledger in consents.values_list("pk", "recorded_at", "ledger"):
        found[key] |= {
            "consent": consent_facts(msgspec.convert(ledger, ConsentLedger)),
            "consent_recorded_at": recorded_at,
        }
    for key, reviewed_at, reports in histories.values_list("pk", "reviewed_at", "reports"):
        found[key] |= {
            "has_history": True,
            "reviewed_at": reviewed_at,
            "reports_waiting": bool(reports),
        }
    people = Client.objects.filter(pk__in=client_ids)
    for key, needed, born in people.values_list("pk", "interpreter_needed", "birth_date"):
        found[key] |= {"interpreter_needed": needed, "birth_date": born}
    for key, filed_at in _clearances(client_ids):
        found[key]["clearance_filed_at"] = filed_at
    return {key: OnRecord(**known) for key, known in found.items()}


def _clearances(client_ids: set[UUID]) -> Iterator[tuple[UUID, datetime]]:
    """When each client's last clearance was filed that still stands."""
    standing = Order.objects.filter(
        client_id__in=client_ids, kind=OrderKind.CLEARANCE, lifted_on=None
    )
    yield from standing.order_by().values_list("client_id").annotate(Max("filed_at"))


def age_there(ages: AgesOfConsent, row: Session, known: OnRecord | Signing) -> AgeOfConsent:
    """The age of consent where the session is, asked for whom it can concern."""
    concerned = age_matters(known.consent, known.birth_date, row.local_date, HIGHEST_CONSENT_AGE)
    place = places().get(row.facility_id) if concerned else None
    return ages.own if place is None else ages.at(place.jurisdiction, row.local_date)


def _record_gaps(sessions: Sequence[Session]) -> Mapping[UUID, list[str]]:
    settings, _ = settings_group("permissions", PermissionSettings)
    known, ages = on_record({row.client_id for row in sessions}), AgesOfConsent()
    return {
        row.pk: record_gaps(
            Planned(
                day=row.local_date,
                evaluated_at=row.evaluated_at,
                all_by_hand=row.hands_on == HandsOnExtent.ALL,
                age=age_there(ages, row, known[row.client_id]),
                reasons=reasons_against(row),
            ),
            known[row.client_id],
            settings.consent_warning_days,
        )
        for row in sessions
    }


RECORD_GAPS = GapSource(TEXTS, _record_gaps)
"""Touch consent, health history, clearances, and who is to come along."""
