"""Given, when, then: a decision told in three lines.

``given(SLICE, *events).when(lambda state, context: decide(state, command, context)).then(...)``
Each given event is an Event, or a pair (Event, datetime) for one that happened at a time.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from typing import Any
from uuid import UUID

from practice.core.decisions import Actor, Context, Decided, Slice
from practice.core.events import DatedEvent, Event, RecordedEvent, registry
from practice.core.reasons import Rejected
from practice.core.terms import Role

NOW = datetime(2026, 3, 2, 15, 0, tzinfo=UTC)
STREAM = UUID(int=7)
DESK = Actor(id=UUID(int=11), role=Role.FRONT_DESK)
PRACTITIONER = Actor(id=UUID(int=12), role=Role.PRACTITIONER, practitioner_id=UUID(int=112))
OWNER = Actor(id=UUID(int=13), role=Role.OWNER)


def ids(start: int = 1000) -> Callable[[], UUID]:
    """A source of ids that counts up, so that a test can foretell them."""

    def count() -> Iterator[UUID]:
        number = start
        while True:
            yield UUID(int=number)
            number += 1

    numbers = count()
    return lambda: next(numbers)


def context(now: datetime = NOW, actor: Actor = PRACTITIONER) -> Context:
    """A context at a known time with foretellable ids."""
    return Context(now=now, actor=actor, new_id=ids())


def recorded(
    event: Event, version: int = 1, at: datetime = NOW, actor: UUID = DESK.id
) -> RecordedEvent:
    """An event as the log would hold it."""
    return RecordedEvent(
        position=version,
        stream=STREAM,
        version=version,
        type=registry.by_class[type(event)].name,
        occurred_at=at,
        recorded_at=at,
        actor=actor,
        request_id="test",
        data=event,
    )


class Scenario:
    """A folded state and what a decision makes of it."""

    def __init__(self, slice_: Slice[Any, Any], events: tuple[Any, ...]) -> None:
        builder = slice_.initial()
        for number, one in enumerate(events, start=1):
            event, at = one if isinstance(one, tuple) else (one, NOW)
            slice_.apply(builder, recorded(event, number, at))
        self.state = slice_.freeze(builder)
        self.decided: Decided | None = None
        self.refusal: Rejected | None = None

    def when(
        self,
        decide: Callable[[Any, Context], Decided],
        *,
        now: datetime = NOW,
        actor: Actor = PRACTITIONER,
    ) -> Scenario:
        """Decide at a time as a person."""
        try:
            self.decided = decide(self.state, context(now, actor))
        except Rejected as refusal:
            self.refusal = refusal
        return self

    @property
    def events(self) -> list[Event]:
        """The decided events without their dates; the refusal is raised if there was one."""
        if self.refusal is not None:
            raise self.refusal
        assert self.decided is not None
        return [one.event if isinstance(one, DatedEvent) else one for one in self.decided]

    def then(self, *expected: Event) -> None:
        """Exactly these events were decided."""
        assert self.events == list(expected)

    def then_kinds(self, *kinds: type[Event]) -> list[Event]:
        """Events of exactly these kinds were decided; they are returned."""
        assert [type(one) for one in self.events] == list(kinds)
        return self.events

    def rejected(self, code: str, status: int | None = None) -> Rejected:
        """The decision was refused with this code; the refusal is returned."""
        assert self.refusal is not None, f"decided {self.decided} instead of refusing"
        assert self.refusal.code == code
        assert status is None or self.refusal.status == status
        return self.refusal


def given(slice_: Slice[Any, Any], *events: Any) -> Scenario:
    """The state that some events fold to."""
    return Scenario(slice_, events)
