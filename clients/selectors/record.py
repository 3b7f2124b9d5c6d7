"""A client's record on this floor: what stands now, what happened, and what was known when."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Any
from uuid import UUID

import msgspec

from clients.domain.clinical import CLIENT_FACTS, client_facts
from clients.domain.identity import IDENTITY
from clients.domain.sentences import sentence_of
from clients.models import Consent, HealthHistory, Order, Preference
from practice.domain.decisions import Slice
from practice.eventlog import loading
from practice.models import Staff

Show = Callable[[Any], Any]
record_parts: dict[str, tuple[Slice[Any, Any], Show]] = {}
"""What higher floors add to the record as known on a day: its name, slice and how it shows."""


def consent_of(client_id: UUID) -> Consent | None:
    """Her touch consent as it stands, or None where none is on record."""
    return Consent.objects.filter(pk=client_id).first()


def preference_of(client_id: UUID) -> Preference | None:
    """Whom she prefers, or None where she never said."""
    return Preference.objects.filter(pk=client_id).first()


def health_history_of(client_id: UUID) -> HealthHistory | None:
    """Her health history, or None where nobody has asked."""
    return HealthHistory.objects.filter(pk=client_id).first()


def orders_of(client_id: UUID) -> list[Order]:
    """Her papers, the newest first."""
    return list(Order.objects.filter(client_id=client_id).order_by("-given_on", "id"))


def client_history(
    client_id: UUID, *, known_at: datetime | None = None, happened_by: datetime | None = None
) -> list[dict[str, Any]]:
    """Every event of her record: who, when it happened, when it was recorded, a sentence."""
    events = loading.recorded(client_id, as_known_at=known_at, as_happened_at=happened_by)
    people = dict(
        Staff.objects.filter(pk__in={one.actor for one in events}).values_list("pk", "name")
    )
    return [
        {
            "version": one.version,
            "type": one.type,
            "sentence": sentence_of(one.data, one.type),
            "happened_at": one.effective_at,
            "recorded_at": one.recorded_at,
            "recorded_late": one.effective_at < one.recorded_at,
            "by": {"id": one.actor, "name": people.get(one.actor, "the practice itself")},
        }
        for one in events
    ]


def client_as_known(
    client_id: UUID, *, known_at: datetime | None = None, happened_by: datetime | None = None
) -> dict[str, Any]:
    """Her record as it was known at an instant, of what had happened by another."""
    more = (part for part, _ in record_parts.values())
    slices: list[Slice[Any, Any]] = [IDENTITY, *CLIENT_FACTS, *more]
    states = loading.load(client_id, slices, as_known_at=known_at, as_happened_at=happened_by)
    identity, facts = states[IDENTITY], client_facts(states)
    return {
        "details": msgspec.to_builtins(identity.details),
        "consent": msgspec.to_builtins(facts.consent),
        "preference": msgspec.to_builtins(facts.preference),
        "exceptions": msgspec.to_builtins(facts.exceptions),
        "reviewed_history": msgspec.to_builtins(facts.reviewed),
        "reported_histories": msgspec.to_builtins(facts.reported),
        "orders": msgspec.to_builtins(facts.orders),
        "more": {name: show(states[part]) for name, (part, show) in record_parts.items()},
    }
