"""The one runner: every change of a client's record goes through it.

It owns the only durable transaction of the program. In order: claim the idempotency key, lock
the stream heads (sorted) and then the places, read the clock, load the slices, decide for each
client, let higher layers react, project and append everything at once; at the end run the steps
for after the append, store the answer, commit. A refusal anywhere leaves nothing behind.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any
from uuid import UUID, uuid4

from django.db import transaction

from practice.clock import clock
from practice.core.appspec import installed
from practice.core.decisions import Actor, Context, Decided, Slice, States
from practice.core.events import RecordedEvent
from practice.core.reasons import Reason, Rejected, check_version
from practice.eventstore import store
from practice.keys.canary import trial
from practice.keys.keystore import keystore
from practice.work import request_cache as unit
from practice.work.advising import Advisors
from practice.work.batch import Batch
from practice.work.clock_check import require_right_clock
from practice.work.idempotency import IdempotencyClaim, StoredResponse, claim_key, store_response
from practice.work.locks import Locks, Places
from practice.work.projection_runner import projected_rows
from practice.work.purge import purge_client
from practice.work.unit_states import UnitStates

MOVED_ON = "The record has moved on to version {version}. Read it again, then repeat."


@dataclass
class Outcome:
    """What a command did to a client's record: its events, reactions included, and where it stands.

    ``entity_id`` is what in the record it was about; the client, unless the service names it.
    ``lookups`` are the facts by which reactors answered, by the reactor's name: whoever tells of
    what they found judges nothing again.
    """

    client_id: UUID
    events: list[RecordedEvent] = field(default_factory=list)
    version: int = 0
    warnings: list[Reason] = field(default_factory=list)
    lookups: dict[str, list[Any]] = field(default_factory=dict)
    entity_id: UUID = field(init=False)

    def __post_init__(self) -> None:
        self.entity_id = self.client_id

    def first(self, kind: type[Any]) -> Any:
        """The first event of a kind, or None."""
        return next((one.data for one in self.events if isinstance(one.data, kind)), None)


@dataclass(frozen=True)
class Decision:
    """What is to be decided for one client.

    ``decide`` gets the present state of ``slices`` under the lock; ``if_match`` is the version
    that the caller knows; ``after_closing``: an erased record takes it too.
    """

    client_id: UUID
    slices: Sequence[Slice[Any, Any]]
    decide: Callable[[States, Context], Decided]
    if_match: int | None = None
    after_closing: bool = False


class UnitOfWork:
    """One unit of work inside the runner's transaction."""

    def __init__(self, actor: Actor, request_id: str) -> None:
        self.actor = actor
        self.request_id = request_id
        self.response: StoredResponse | None = None
        self._locks = Locks()
        self._states = UnitStates(self._locks)
        self._now: datetime | None = None
        self._written: set[UUID] = set()
        self._told_of: set[UUID] = set()
        self._unfollowed: list[RecordedEvent] = []

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
        """The client whose key encrypts the stored answer, if the unit touched one."""
        heads = self._locks.heads.items()
        return next((one for one, head in heads if head.starts_at_version == 1), None)

    @property
    def clients(self) -> frozenset[UUID]:
        """The clients whose streams this unit has locked."""
        return frozenset(self._locks.heads)

    @property
    def written(self) -> frozenset[UUID]:
        """Those of them on whose streams it has written events."""
        return frozenset(self._written)

    @property
    def told_of(self) -> frozenset[UUID]:
        """Other clients whom the answer names beside those that the command was about."""
        return frozenset(self._told_of)

    def tell_of(self, client_ids: Iterable[UUID]) -> None:
        """The answer will name these clients too: that they were read is logged (ruling 62)."""
        self._told_of.update(client_ids)

    def lock(self, *client_ids: UUID, places: Places | None = None) -> None:
        """Lock the streams of some clients, sorted, and then places.

        All clients come before any place, and all places together. Raises Rejected 404 for a
        client that does not exist, RuntimeError for a lock out of that order.
        """
        self._states.settle()
        new = self._locks.lock_heads(client_ids)
        self._states.entered(client_ids)
        if places is not None:
            self._locks.lock_places(places)
        if new or places is not None:
            unit.invalidate()
            latest = [one.recorded_at for one in self._locks.heads.values() if one.recorded_at]
            self._now = max([clock.now(), *latest])

    def create(self, client_id: UUID) -> None:
        """Begin the stream of a new client; its data key was made by ``new_client_stream``."""
        self._locks.create_head(client_id)
        self._states.entered((client_id,))

    def version(self, client_id: UUID) -> int:
        """The version of a locked stream."""
        return self._locks.heads[client_id].version

    def states(self, client_id: UUID, slices: Sequence[Slice[Any, Any]]) -> States:
        """The present state of some slices of a client, under its lock."""
        self.lock(client_id)
        return self._states.of(client_id).require(slices)

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
        one = Decision(client_id, slices, decide, if_match, after_closing)
        return self.execute_all([one])[0]

    def execute_all(self, decisions: Sequence[Decision]) -> list[Outcome]:
        """Decide for several clients under their locks and append everything at once.

        Outcomes are in the order of the decisions. A later decision about a client sees what
        an earlier one decided; read tables show none of it before the end. All or nothing:
        raises what ``execute`` raises, and then nothing of any of them is written.
        """
        self.lock(*(one.client_id for one in decisions))
        batches: dict[UUID, Batch] = {}
        with self._states.changing([one.client_id for one in decisions]):
            where = [self._decided(one, batches) for one in decisions]
            self._append([batch for batch in batches.values() if batch.events])
        return [
            self._outcome(batches[one.client_id], part)
            for one, part in zip(decisions, where, strict=True)
        ]

    def _outcome(self, batch: Batch, part: slice) -> Outcome:
        events, lookups = batch.events[part], dict[str, list[Any]]()
        decided = {one.version for one in events}
        for one in batch.lookups:
            if one.version in decided:
                lookups.setdefault(one.reactor, []).append(one.facts)
        version = self.version(batch.client_id)
        return Outcome(batch.client_id, events, version, lookups=lookups)

    def _decided(self, one: Decision, batches: dict[UUID, Batch]) -> slice:
        head = self._locks.heads[one.client_id]
        if head.starts_at_version > 1 and not one.after_closing:
            raise Rejected("record_closed", "This record was erased; nothing is added to it.")
        check_version(head.version, one.if_match, MOVED_ON)
        batch = batches.setdefault(one.client_id, self._batch(one.client_id))
        return batch.add(one.decide(batch.loader.require(one.slices), self.context))

    def _append(self, batches: Sequence[Batch]) -> None:
        stored = store.append([(batch.head, batch.events) for batch in batches], projected_rows)
        for batch, events in zip(batches, stored, strict=True):
            batch.events = events
            batch.loader.stored()
            self._written.add(batch.client_id)
            self._unfollowed += events

    def follow(self) -> None:
        """Run the registered steps on what was appended since they ran last."""
        events, self._unfollowed = self._unfollowed, []
        for step in installed.after_append if events else ():
            step(events)

    def close_stream(
        self,
        client_id: UUID,
        slices: Sequence[Slice[Any, Any]],
        decide: Callable[[States, Context], Decided],
    ) -> Outcome:
        """Begin a stream again at the events decided here, which close it.

        They and all that follow are encrypted with the practice's own key, what stood before
        them is not folded any more, and everything of the client outside the log is cleared
        and made from them. ``execute`` refuses such a stream from here on, unless
        ``after_closing``. Where nothing is decided, the stream stays as it is.
        """
        self.lock(client_id)
        with self._states.changing([client_id]):
            batch = self._batch(client_id)
            batch.add(decide(batch.loader.require(slices), self.context))
            if batch.events:
                batch.head.starts_at_version = batch.head.version + 1
                self.follow()  # What is planned for the client is then cleared with the rest.
                purge_client(client_id)
                self._append([batch])
                self._states.close(client_id)
        return Outcome(client_id, batch.events, batch.head.version)

    def advise(self, question: str, client_id: UUID, facts: Any) -> list[Reason]:
        """Warnings of higher layers on a question of a lower one."""
        self.lock(client_id)
        states = self._states.of(client_id).require
        return Advisors(question, client_id, states, self.context).on(facts)

    def keep_states(self) -> None:
        """At the end, inside the transaction: keep what was folded for the next unit."""
        self._states.keep_on_commit()

    def _batch(self, client_id: UUID) -> Batch:
        head = self._locks.heads[client_id]
        return Batch(head, self._states.of(client_id), self.context, self.request_id)


def new_client_stream() -> UUID:
    """An id for a new client whose data key is made and committed.

    Called before the unit of work: on SQLite a second connection inside it would be
    locked out. A key whose client never came to be is an orphan and is swept.
    """
    trial.pass_or_refuse()
    client_id = uuid4()
    keystore.create(client_id)
    return client_id


@contextmanager
def unit_of_work(
    *, actor: Actor, request_id: str, claim: IdempotencyClaim | None = None
) -> Iterator[UnitOfWork]:
    """The durable transaction in which services run.

    Raises Replay when ``claim`` was answered before, Rejected 503 where this process's clock is
    ahead of the database's. Nested use raises RuntimeError.
    """
    require_right_clock()
    with unit.caching(), transaction.atomic(durable=True):
        work = UnitOfWork(actor, request_id)
        if claim is not None:
            kept_until = claim_key(claim, clock.now())
        yield work
        work.follow()
        if claim is not None and work.response is not None:
            store_response(claim, kept_until, work.subject, work.response)
        work.keep_states()
