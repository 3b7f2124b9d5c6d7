"""What a pure decision is given and how state is folded from events.

A decision is ``decide(state, command, facts, context) -> events``. It reads no
clock, no random source and no database: all three come in as arguments.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from types import ModuleType
from typing import Any, Generic, TypeVar, cast
from uuid import UUID

import msgspec

from practice.core.dispatch import Answering, Folding
from practice.core.event_texts import EventTexts
from practice.core.events import DatedEvent, Event, RecordedEvent
from practice.core.projections import Projection
from practice.core.reasons import Reason
from practice.core.terms import Role

B = TypeVar("B")
S = TypeVar("S")

Decided = Sequence[Event | DatedEvent]


class Actor(msgspec.Struct, frozen=True, kw_only=True):
    """Who asks: a member of staff, or the practice itself for due work."""

    id: UUID
    role: Role
    practitioner_id: UUID | None = None

    @property
    def sees_all_facilities(self) -> bool:
        """Owner and billing see all; desk and practitioners those they are assigned to."""
        return self.role in (Role.OWNER, Role.BILLING)


@dataclass(frozen=True, slots=True)
class Context:
    """The time (after the lock), the person and the source of new ids."""

    now: datetime
    actor: Actor
    new_id: Callable[[], UUID]


class Slice(Folding[B], Generic[B, S]):
    """One part of a client's state; ``handles`` are the events that it folds.

    A handler, ``handler(builder, event, meta)``, changes the private builder that
    ``initial`` made and never fails: an event that happened cannot be refused later.
    ``freeze`` turns the builder into the state that decisions see, once, after the fold.
    """

    def __init__(
        self,
        name: str,
        *,
        initial: Callable[[], B],
        freeze: Callable[[B], S],
        watches: tuple[ModuleType, ...] = (),
        ignores: tuple[type[Event], ...] = (),
    ) -> None:
        super().__init__(name, watches=watches, ignores=ignores)
        self.initial = initial
        self.freeze = freeze


class States:
    """The frozen slices that a command asked for, fetched by their slice."""

    def __init__(self, by_name: Mapping[str, Any]) -> None:
        self._by_name = dict(by_name)

    def __getitem__(self, slice_: Slice[Any, S]) -> S:
        return cast("S", self._by_name[slice_.name])


@dataclass(frozen=True)
class Reactor:
    """Adds events of a higher floor to the batch of a lower one, before the one append.

    ``react`` gets the new event, the states of ``slices`` with that event already
    folded in, the facts that ``gather`` read after the lock, and the context.
    """

    name: str
    on: tuple[type[Event], ...]
    slices: tuple[Slice[Any, Any], ...]
    react: Callable[[RecordedEvent, States, Any, Context], Decided]
    lookup: Callable[[UUID, States, RecordedEvent], Any] | None = None


@dataclass(frozen=True)
class Advisory:
    """Answers a question from a lower floor with warnings, never with a refusal."""

    question: str
    slices: tuple[Slice[Any, Any], ...]
    advise: Callable[[Any, States, Any, Context], Sequence[Reason]]
    lookup: Callable[[UUID, States, Any], Any] | None = None


@dataclass(frozen=True)
class Job:
    """Work to be done at a time, written with the event that causes it.

    ``key`` makes it once per occasion; ``cancels`` withdraws instead of planning.
    """

    kind: str
    key: str
    subject: UUID
    at: datetime | None = None
    cancels: bool = False


class JobPlan(Answering[Sequence[Job]]):
    """Which events plan or withdraw due work: pure, from the event alone."""


@dataclass(frozen=True)
class RetainedFacts:
    """What of one app survives an erasure, named in one place: no name, nothing clinical."""

    app: str
    slices: tuple[Slice[Any, Any], ...]
    retain: Callable[[States], list[dict[str, Any]]]


@dataclass
class InstalledParts:
    """What the apps registered: slices, reactors, advisories, projections, job plans, and for
    the eraser the survivors and the tables of working papers (labels; by ``client_id``).

    A step of ``after_append`` gets the events of a batch as they were stored, one of
    ``erasables`` the id of a client whose record is being closed. Both run within the
    transaction of the events, in the order of registration; what they raise undoes it all.
    """

    slices: dict[str, Slice[Any, Any]] = field(default_factory=dict)
    ignored: set[type[Event]] = field(default_factory=set)
    reactors: list[Reactor] = field(default_factory=list)
    advisories: list[Advisory] = field(default_factory=list)
    job_plans: list[JobPlan] = field(default_factory=list)
    projections: dict[str, Projection] = field(default_factory=dict)
    event_texts: list[EventTexts] = field(default_factory=list)
    retained_facts: list[RetainedFacts] = field(default_factory=list)
    working_documents: list[str] = field(default_factory=list)
    after_append: list[Callable[[Sequence[RecordedEvent]], None]] = field(default_factory=list)
    erasables: list[Callable[[UUID], None]] = field(default_factory=list)

    def add_slices(self, *slices: Slice[Any, Any]) -> None:
        """Register slices; a name is given once."""
        for slice_ in slices:
            if self.slices.setdefault(slice_.name, slice_) is not slice_:
                raise ValueError(f"slice {slice_.name!r} is registered twice")

    def add_projections(self, *projections: Projection) -> None:
        """Register projections; a read table is kept by one."""
        for one in projections:
            if self.projections.setdefault(one.name, one) is not one:
                raise ValueError(f"{one.name} has a projection already")

    def add_event_texts(self, *event_texts: EventTexts) -> None:
        """Register the texts of features; safe to repeat."""
        self.event_texts.extend(one for one in event_texts if one not in self.event_texts)

    def unhandled(self, known: set[type[Event]]) -> set[type[Event]]:
        """Event types that no slice folds and that are not ignored."""
        folded = {cls for slice_ in self.slices.values() for cls in slice_.handles}
        return known - folded - self.ignored


installed = InstalledParts()
