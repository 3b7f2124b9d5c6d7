"""What a unit of work has decided for one client and not appended yet."""

from __future__ import annotations

from typing import Any, NamedTuple
from uuid import UUID

from practice.core.appspec import installed
from practice.core.decisions import Context, Decided
from practice.core.events import DatedEvent, RecordedEvent, registry
from practice.core.reasons import invalid
from practice.eventstore.store import LockedHead
from practice.work.unit_states import LockedStates

MAX_LINKS = 20
"""How long a chain of reactions to reactions may be. How many events one decision makes has no
bound: a setting can change the verdict of a year of sessions."""


class Lookup(NamedTuple):
    """What a reactor looked up for the event of a version."""

    version: int
    reactor: str
    facts: Any


class Batch:
    """Decided events with what higher layers add to them, in order, folded in as they come."""

    def __init__(
        self, head: LockedHead, loader: LockedStates, context: Context, request_id: str
    ) -> None:
        self.head = head
        self.loader = loader
        self.context = context
        self.request_id = request_id
        self.events: list[RecordedEvent] = []
        self.lookups: list[Lookup] = []

    @property
    def client_id(self) -> UUID:
        """Whose events they are."""
        return self.head.stream

    def add(self, decided: Decided) -> slice:
        """Add a decision and its reactions; where they stand among the events.

        Raises Rejected 400 for an event dated in the future.
        """
        start = len(self.events)
        added = self._record(decided)
        for _ in range(MAX_LINKS):
            if not added:
                return slice(start, len(self.events))
            added = [made for recorded in added for made in self._reactions(recorded)]
        raise RuntimeError("reactors answer each other without end")

    def _reactions(self, recorded: RecordedEvent) -> list[RecordedEvent]:
        found: list[RecordedEvent] = []
        for reactor in installed.reactors:
            if isinstance(recorded.data, reactor.on):
                states = self.loader.require(reactor.slices)
                facts = reactor.lookup(self.client_id, states, recorded) if reactor.lookup else None
                if facts is not None:
                    self.lookups.append(Lookup(recorded.version, reactor.name, facts))
                found += self._record(reactor.react(recorded, states, facts, self.context))
        return found

    def _record(self, decided: Decided) -> list[RecordedEvent]:
        made: list[RecordedEvent] = []
        for one in decided:
            dated = one if isinstance(one, DatedEvent) else DatedEvent(one, self.context.now)
            if dated.occurred_at > self.context.now:
                raise invalid("occurred_at", "What happened cannot lie in the future.")
            recorded = RecordedEvent(
                position=0,
                stream=self.client_id,
                version=self.head.version + len(self.events) + 1,
                type=registry.by_class[type(dated.event)].name,
                occurred_at=dated.occurred_at,
                recorded_at=self.context.now,
                actor=self.context.actor.id,
                request_id=self.request_id,
                data=dated.event,
            )
            self.events.append(recorded)
            self.loader.add(recorded)
            made.append(recorded)
        return made
