"""The one runner: every change of a client's record goes through it.

It owns the only durable transaction of the program. In order: claim the
idempotency key, lock the stream heads (sorted), read the clock, load the slices,
decide, let higher floors react, append, project, run the steps registered for after
the append, store the answer, commit. A refusal anywhere leaves nothing behind.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any
from uuid import UUID, uuid4

from django.db import transaction

from practice.clock import clock
from practice.core.appspec import installed
from practice.core.decisions import Actor, Context, Decided, Slice, States
from practice.core.events import DatedEvent, RecordedEvent, registry
from practice.core.reasons import Reason, Rejected, check_version, invalid
from practice.eventstore import store
from practice.keys.keystore import keystore
from practice.work import request_cache as unit
from practice.work.idempotency import IdempotencyClaim, StoredResponse, claim_key, store_response
from practice.work.projection_runner import update_read_tables
from practice.work.purge import purge_client
from practice.work.state_loader import StateLoader

MAX_REACTIONS = 200
MOVED_ON = "The record has moved on to version {version}. Read it again, then repeat."


@dataclass
class Outcome:
    """What a command did: its events, reactions included, and where the stream stands."""

    events: list[RecordedEvent] = field(default_factory=list)
    version: int = 0
    warnings: list[Reason] = field(default_factory=list)

    def first(self, kind: type[Any]) -> Any:
        """The first event of a kind, or None."""
        return next((one.data for one in self.events if isinstance(one.data, kind)), None)


class UnitOfWork:
    """One unit of work inside the runner's transaction."""

    def __init__(self, actor: Actor, request_id: str) -> None:
        self.actor = actor
        self.request_id = request_id
        self.response: StoredResponse | None = None
        self._heads: dict[UUID, store.LockedHead] = {}
        self._loaders: dict[UUID, StateLoader] = {}
        self._now: datetime | None = None

    @property
    def now(self) -> datetime:
        """The time of this unit, read after its locks; never before the last event of a stream."""
        if self._now is None:
            self._now = clock.now()
        return self._now

    @property
    def context(self) -> Context:
        """What a pure decision is given of the world."""
        return Context(now=self.now, actor=self.actor, new_id=uuid4)

    @property
    def subject(self) -> UUID | None:
        """The client whose key seals the stored answer, if the unit touched one."""
        closed = [one for one, head in self._heads.items() if head.starts_at_version > 1]
        return next((one for one in self._heads if one not in closed), None)

    def lock(self, *client_ids: UUID) -> None:
        """Lock the streams of some clients, sorted. 404 for one that does not exist."""
        missing = [one for one in client_ids if one not in self._heads]
        if not missing:
            return
        self._heads.update(store.lock_heads(missing))
        unit.invalidate()
        latest = [head.recorded_at for head in self._heads.values() if head.recorded_at]
        self._now = max([clock.now(), *latest])

    def create(self, client_id: UUID) -> None:
        """Begin the stream of a new client; her data key was made by ``new_client_stream``."""
        self._heads[client_id] = store.create_head(client_id)

    def version(self, client_id: UUID) -> int:
        """The version of a locked stream."""
        return self._heads[client_id].version

    def states(self, client_id: UUID, slices: Sequence[Slice[Any, Any]]) -> States:
        """The present state of some slices of a client, under her lock."""
        self.lock(client_id)
        return self._loader(client_id).require(slices)

    def execute(
        self,
        client_id: UUID,
        slices: Sequence[Slice[Any, Any]],
        decide: Callable[[States, Context], Decided],
        *,
        if_match: int | None = None,
        after_closing: bool = False,
    ) -> Outcome:
        """Decide on fresh facts under the lock and write what was decided.

        Raises Rejected: 404 unknown client, 412 stale ``if_match``, 409 for a record that
        was erased (unless ``after_closing``), or whatever the decision refuses. An empty
        decision writes nothing.
        """
        self.lock(client_id)
        head, loader = self._heads[client_id], self._loader(client_id)
        if head.starts_at_version > 1 and not after_closing:
            raise Rejected("record_closed", "This record was erased; nothing is added to it.")
        check_version(head.version, if_match, MOVED_ON)
        decided = decide(loader.require(slices), self.context)
        events = self._react(client_id, head, loader, decided)
        if events:
            events = store.append(head, events)
            loader.stored()
            _follow(client_id, events)
        return Outcome(events, head.version)

    def close_stream(
        self,
        client_id: UUID,
        slices: Sequence[Slice[Any, Any]],
        decide: Callable[[States, Context], Decided],
    ) -> Outcome:
        """Begin a stream again at the events decided here, which close it.

        They and all that follow are sealed with the practice's own key, what stood before
        them is not folded any more, and everything of the client outside the log is cleared
        and made from them. ``execute`` refuses such a stream from here on, unless
        ``after_closing``. Where nothing is decided, the stream stays as it is.
        """
        self.lock(client_id)
        head, loader = self._heads[client_id], self._loader(client_id)
        events = self._react(client_id, head, loader, decide(loader.require(slices), self.context))
        if events:
            head.starts_at_version = head.version + 1
            purge_client(client_id)
            events = store.append(head, events)
            self._loaders.pop(client_id)
            _follow(client_id, events)
        return Outcome(events, head.version)

    def advise(self, question: str, client_id: UUID, facts: Any) -> list[Reason]:
        """Warnings of higher floors on a question of a lower one."""
        warnings: list[Reason] = []
        for advisory in installed.advisories:
            if advisory.question == question:
                states = self.states(client_id, advisory.slices)
                found = advisory.lookup(client_id, states, facts) if advisory.lookup else None
                warnings.extend(advisory.advise(facts, states, found, self.context))
        return warnings

    def _loader(self, client_id: UUID) -> StateLoader:
        if client_id not in self._loaders:
            head = self._heads[client_id]
            self._loaders[client_id] = StateLoader(
                lambda types: (
                    store.load(client_id, types=types, start=head.starts_at_version)
                    if head.version
                    else []
                )
            )
        return self._loaders[client_id]

    def _recorded(
        self, head: store.LockedHead, ahead: int, decided: Decided
    ) -> list[RecordedEvent]:
        made: list[RecordedEvent] = []
        for one in decided:
            happened = one if isinstance(one, DatedEvent) else DatedEvent(one, self.now)
            if happened.at > self.now:
                raise invalid("occurred_at", "What happened cannot lie in the future.")
            made.append(
                RecordedEvent(
                    position=0,
                    stream=head.stream,
                    version=head.version + ahead + len(made) + 1,
                    type=registry.by_class[type(happened.event)].name,
                    occurred_at=happened.at,
                    recorded_at=self.now,
                    actor=self.actor.id,
                    request_id=self.request_id,
                    data=happened.event,
                )
            )
        return made

    def _react(
        self, client_id: UUID, head: store.LockedHead, loader: StateLoader, decided: Decided
    ) -> list[RecordedEvent]:
        """The decided events and what higher floors add to them, all folded in."""
        batch = self._recorded(head, 0, decided)
        for recorded in batch:
            loader.add(recorded)
        for index, recorded in enumerate(batch):
            if index > MAX_REACTIONS:
                raise RuntimeError("reactors answer each other without end")
            for reactor in installed.reactors:
                if isinstance(recorded.data, reactor.on):
                    states = loader.require(reactor.slices)
                    facts = reactor.lookup(client_id, states, recorded) if reactor.lookup else None
                    added = self._recorded(
                        head, len(batch), reactor.react(recorded, states, facts, self.context)
                    )
                    for one in added:
                        loader.add(one)
                    batch.extend(added)
        return batch


def _follow(client_id: UUID, events: list[RecordedEvent]) -> None:
    """Bring the read tables in step with stored events, then run the registered steps."""
    update_read_tables(client_id, events)
    for step in installed.after_append:
        step(events)


def new_client_stream() -> UUID:
    """An id for a new client with her data key made and committed.

    Called before the unit of work: on SQLite a second connection inside it would be
    locked out. A key whose client never came to be is an orphan and is swept.
    """
    client_id = uuid4()
    keystore.create(client_id)
    return client_id


@contextmanager
def unit_of_work(
    *, actor: Actor, request_id: str, claim: IdempotencyClaim | None = None
) -> Iterator[UnitOfWork]:
    """The durable transaction in which services run.

    Raises Replay when ``claim`` was answered before. Nested use raises RuntimeError.
    """
    with unit.caching(), transaction.atomic(durable=True):
        work = UnitOfWork(actor, request_id)
        if claim is not None:
            claim_key(claim, clock.now())
        yield work
        if claim is not None and work.response is not None:
            store_response(claim, work.subject, work.response)
