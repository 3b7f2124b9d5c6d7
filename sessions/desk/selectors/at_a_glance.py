"""A client on the phone: what the desk needs, with the same queries for every client."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any
from uuid import UUID

import msgspec

from clients.calls.rendering import with_callers
from clients.calls.selectors import call_rows, calls_of
from clients.consent.domain.ledger import ConsentLedger
from clients.consent.domain.standing import stands
from clients.consent.domain.state import consent_facts
from clients.consent.selectors import Signing, ages_for, consent_of
from clients.identity.display_names import with_display_names
from clients.identity.domain.unsuitable import unsuitable_texts
from clients.identity.models import Client
from clients.identity.selectors import client_details_row
from clients.permissions.domain.results import HandsOnExtent
from clients.permissions.domain.settings import PermissionSettings
from practice.core.decisions import Actor
from practice.core.localtime import local_day, zone_named
from practice.policy.selectors import settings_group
from sessions.booking.selectors.client_side import unsuitable_times_of
from sessions.calendar.domain.session_state import TIME_HOLDING_STATUSES
from sessions.calendar.models import Session
from sessions.calendar.selectors.gaps import gaps_of, texts_of
from sessions.desk.domain.consent_sentence import consent_sentence
from sessions.desk.domain.day_sheet import desk_verdict
from sessions.desk.domain.papers import Planned, record_gaps
from sessions.desk.selectors.call_list import best_time, shown_calls
from sessions.desk.selectors.coverage import coverage_left
from sessions.desk.selectors.gaps import on_record, reasons_against
from sessions.desk.selectors.rhythm import client_rhythm
from sessions.incidents.selectors import followed_up

VISITS = 5
CALLS = 3
WISHES = (
    "contact_by",
    "contact_also_by",
    "contact_hours",
    "phones",
    "interpreter_needed",
    "emergency_contacts",
    "guardian",
)
"""How a client is reached, who stands beside them, as details have it."""


def at_a_glance(actor: Actor, client_id: UUID, now: datetime) -> dict[str, Any]:
    """Everything for one look, of a client whom the caller was found to see."""
    client = client_details_row(client_id)
    today = local_day(now, client.zone)
    visits = _next_visits(client_id, now)
    gaps = gaps_of(visits)
    codes = {code for found in gaps.values() for code in found}
    if not visits:
        codes = set(_nothing_booked(client, now))
    return {
        "client_id": client_id,
        "contact": {
            "name": client.name,
            "birth_date": client.birth_date,
            "phone": client.phone,
            "email": client.email,
            **{name: getattr(client, name) for name in WISHES},
            "best_time": best_time(client),
            "language": client.language,
            "their_time": f"{now.astimezone(zone_named(client.zone)):%H:%M}",
        },
        "consent": _consent(client, today),
        "missing": texts_of(codes),
        "next_visits": [_visit(row, gaps.get(row.pk, [])) for row in visits],
        "rhythm": client_rhythm(client_id, client.planned_sessions_per_week, today, now),
        "unsuitable_times": unsuitable_texts(unsuitable_times_of(client.unsuitable_times)),
        "authorizations": coverage_left(client_id, today),
        "to_call_about": shown_calls(call_rows(actor, now, client_id=client_id)[:CALLS], now),
        "followed_up": [_followed_up(row) for row in with_display_names(followed_up(client_id))],
        "last_calls": with_callers(list(calls_of(client_id).order_by("-called_at", "id")[:CALLS])),
    }


def _next_visits(client_id: UUID, now: datetime) -> list[Session]:
    """The next sessions, at any facility: the desk only learns when the client comes."""
    ahead = Session.objects.filter(
        client_id=client_id, status__in=TIME_HOLDING_STATUSES, ends_at__gt=now
    )
    return with_display_names(ahead.order_by("starts_at", "id")[:VISITS])


def _nothing_booked(client: Client, now: datetime) -> list[str]:
    """What would be missing today."""
    settings, _ = settings_group("permissions", PermissionSettings)
    today, known = local_day(now, client.zone), on_record({client.pk})[client.pk]
    signing = Signing(known.consent, known.birth_date)
    age = ages_for({client.pk: signing}, today)[client.pk]
    planned = Planned(day=today, evaluated_at=now, all_by_hand=False, age=age)
    return record_gaps(planned, known, settings.consent_warning_days)


def _consent(client: Client, today: date) -> dict[str, Any]:
    row = consent_of(client.pk)
    ledger = msgspec.convert(row.ledger, ConsentLedger) if row else ConsentLedger()
    signing = Signing(consent_facts(ledger), client.birth_date)
    age = ages_for({client.pk: signing}, today)[client.pk]
    return {
        "stands": stands(*signing, today, age),
        "sentence": consent_sentence(ledger, client.birth_date, today, age),
    }


def _followed_up(row: Any) -> dict[str, Any]:
    """That something is, since when and whom to ask; never what (ruling 20)."""
    return {
        "incident_id": row.pk,
        "since": row.local_date,
        "ask": row.practitioner_name,
        "call_on": row.call_on,
    }


def _visit(row: Any, gaps: list[str]) -> dict[str, Any]:
    local = row.starts_at.astimezone(zone_named(row.zone))
    return {
        "id": row.pk,
        "starts_at": local,
        "practitioner_name": row.practitioner_name,
        "facility_name": row.facility_name,
        "room_name": row.room_name,
        "hands_on": desk_verdict(HandsOnExtent(row.hands_on), reasons_against(row)),
        "missing": gaps,
        "confirmed": row.confirmed_at is not None,
        "flagged": row.flagged,
    }
