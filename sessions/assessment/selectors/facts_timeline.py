"""A client's facts as they had happened by an instant, from one read of the log."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from functools import cached_property
from uuid import UUID

from clients.clinical.domain.fact_dates import with_late_facts
from clients.clinical.domain.facts import FACT_EVENTS, ClientFacts, facts_of
from practice.core.events import RecordedEvent, registry
from practice.work import loading


class FactsTimeline:
    """Facts in order of happening; ties keep recorded order. ``new`` are not stored yet.

    A fact that bears its own date is there from that date, however late it was reported.
    """

    def __init__(self, client_id: UUID, new: Sequence[RecordedEvent] = ()) -> None:
        stored = loading.load_events(client_id, types=registry.names(FACT_EVENTS))
        known = {(one.stream, one.version) for one in stored}
        events = [*stored, *(one for one in new if (one.stream, one.version) not in known)]
        self._events = sorted(events, key=lambda one: one.order)
        self._made: dict[int, ClientFacts] = {}

    def facts(self, at: datetime) -> ClientFacts:
        """What was so at an instant, as known now."""
        count = sum(1 for one in self._events if one.occurred_at <= at)
        if count not in self._made:
            self._made[count] = with_late_facts(facts_of(self._events[:count]), self.now)
        return self._made[count]

    @cached_property
    def now(self) -> ClientFacts:
        """Everything that is known."""
        return facts_of(self._events)
