"""A client's record in this app: what stands now, what happened, and what was known when."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any
from uuid import UUID

import msgspec

from clients.clinical.domain.facts import CLIENT_FACTS, client_facts
from clients.identity.domain.state import IDENTITY
from practice.core.appspec import installed
from practice.core.decisions import Slice
from practice.core.event_texts import text_of_event
from practice.core.events import RecordedEvent
from practice.people_and_places.models.staff import Staff
from practice.work import loading

HISTORY_PAGE = 200
"""Events of a page of history, where the caller asks for no other number."""


def client_history(
    client_id: UUID,
    *,
    known_at: datetime | None = None,
    occurred_until: datetime | None = None,
    after_version: int | None = None,
    page_size: int = HISTORY_PAGE,
) -> dict[str, Any]:
    """A page of the events of a record: who, when it happened, when recorded, a sentence."""
    page = loading.load_page(
        client_id,
        after_version=after_version,
        size=page_size,
        known_at=known_at,
        occurred_until=occurred_until,
    )
    return {
        "results": shown_events(page.events),
        "total": page.total,
        "next_after_version": page.events[-1].version if page.more else None,
    }


def shown_events(events: Sequence[RecordedEvent]) -> list[dict[str, Any]]:
    """Events with who recorded each and its sentence: one query for them all."""
    people = dict(
        Staff.objects.filter(pk__in={one.actor for one in events}).values_list("pk", "name")
    )
    return [
        {
            "version": one.version,
            "type": one.type,
            "text": text_of_event(one, installed.event_texts),
            "occurred_at": one.occurred_at,
            "recorded_at": one.recorded_at,
            "recorded_late": one.occurred_at < one.recorded_at,
            "recorded_by": {"id": one.actor, "name": people.get(one.actor, "the practice itself")},
        }
        for one in events
    ]


def client_as_known(
    client_id: UUID, *, known_at: datetime | None = None, occurred_until: datetime | None = None
) -> dict[str, Any]:
    """A client's record as it was known at an instant, of what had happened by another."""
    sections = installed.record_sections
    more = (one.slice for one in sections.values())
    slices: list[Slice[Any, Any]] = [*CLIENT_FACTS, *more]
    states = loading.load_states(
        client_id, slices, known_at=known_at, occurred_until=occurred_until
    )
    identity, facts = states[IDENTITY], client_facts(states)
    return {
        "details": msgspec.to_builtins(identity.details),
        "consent": msgspec.to_builtins(facts.consent),
        "preference": msgspec.to_builtins(facts.preference),
        "exceptions": msgspec.to_builtins(facts.exceptions),
        "reviewed_history": msgspec.to_builtins(facts.reviewed),
        "reported_histories": msgspec.to_builtins(facts.reported),
        "orders": msgspec.to_builtins(facts.orders),
        "more": {name: one.show(states[one.slice]) for name, one in sections.items()},
    }
