"""What a pure decision is given and how state is folded from events.

A decision is ``decide(state, command, facts, context) -> events``. It reads no
clock, no random source and no database: all three come in as arguments.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from types import ModuleType
from typing import Any, Final, Generic, TypeVar, cast
from uuid import UUID

import msgspec

from practice.core.dispatch import Answering, Folding
from practice.core.events import DatedEvent, Event, RecordedEvent
from practice.core.reasons import Reason
from practice.core.terms import Role

B = TypeVar("B")
S = TypeVar("S")

Decided = Sequence[Event | DatedEvent]

PRACTICE_ITSELF: Final = UUID(int=1)
"""Who acts where nobody asked, and whose a job is that is of no client."""


class Actor(msgspec.Struct, frozen=True, kw_only=True):
    """Who asks: a member of staff, or the practice itself in a job."""

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
    """Adds events of a higher layer to the batch of a lower one, before the one append.

    ``react`` gets the new event, the states of ``slices`` with that event already
    folded in, the facts that ``lookup`` read after the lock, and the context.
    """

    name: str
    on: tuple[type[Event], ...]
    slices: tuple[Slice[Any, Any], ...]
    react: Callable[[RecordedEvent, States, Any, Context], Decided]
    lookup: Callable[[UUID, States, RecordedEvent], Any] | None = None


@dataclass(frozen=True)
class Advisory:
    """Answers a question from a lower layer with warnings, never with a refusal.

    ``advise`` gets the facts of the question, the states of ``slices``, what ``lookup`` read of
    anything else, and the context.
    """

    question: str
    slices: tuple[Slice[Any, Any], ...]
    advise: Callable[[Any, States, Any, Context], Sequence[Reason]]
    lookup: Callable[[UUID, States], Any] | None = None


@dataclass(frozen=True)
class Job:
    """Work to be done at a time, written with the event that causes it.

    ``subject`` is the client, or the practice itself; ``about`` is what of them the work is
    about (a re-check), without it the subject. Once per ``occasion`` of what it is about.
    ``due_at``: an aware UTC datetime, without it at once. ``cancels`` withdraws instead of
    planning.
    """

    kind: str
    subject: UUID
    about: UUID | None = None
    occasion: str = ""
    due_at: datetime | None = None
    cancels: bool = False

    @property
    def key(self) -> str:
        """What makes an occasion single. Nobody reads it: kind, about and occasion are columns."""
        return f"{self.kind}:{self.about or self.subject}:{self.occasion}"


class JobPlan(Answering[Sequence[Job]]):
    """Which events plan or withdraw jobs: pure, from the event alone."""


@dataclass(frozen=True)
class RetainedFacts:
    """What of one app survives an erasure, named in one place: no name, nothing clinical."""

    app: str
    slices: tuple[Slice[Any, Any], ...]
    retain: Callable[[States], list[dict[str, Any]]]
