"""The states that one unit of work folds, begun from kept ones where these are surely right.

In doubt a state is folded from the log again. What was folded and then not written, for an
exception or a savepoint that was left, poisons the client for the unit: its states are folded
anew, its head is read again, and nothing of it is kept.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from datetime import UTC
from typing import Any
from uuid import UUID

from django.db import connection, transaction
from msgspec import structs

from practice.core.collector import collector_paused
from practice.core.decisions import Slice
from practice.core.events import RecordedEvent, registry
from practice.eventstore import store
from practice.eventstore.envelope import SizedEvents
from practice.eventstore.store import LockedHead
from practice.keys.keystore import keystore
from practice.work.kept_states import KeptState, StateKey, generation_of, kept_states
from practice.work.locks import Locks
from practice.work.state_loader import StateLoader, fold, takers_of

SEAL_BYTES = 28
"""Nonce and tag: what the encryption adds to a payload."""


class LockedStates(StateLoader):
    """The states of a client whose head is locked; ``warm``: they may begin from kept ones."""

    def __init__(self, head: LockedHead, *, warm: bool) -> None:
        super().__init__(self._read)
        self._head = head
        self._warm = warm
        self._slices: dict[str, Slice[Any, Any]] = {}
        self._sizes: dict[str, int] = {}
        self._deadlines: dict[str, float] = {}
        self._generations: dict[str, tuple[Any, ...]] = {}
        self._unstored: list[RecordedEvent] = []

    def add(self, recorded: RecordedEvent) -> None:
        """Fold an event that was decided but is not stored yet, as the log will give it back."""
        known = registry.by_class[type(recorded.data)]
        payload = registry.encode(recorded.data)
        # A builder outlives the unit: it holds what any other process would read, and nothing
        # that the one who decided still has in hand.
        read = structs.replace(
            recorded,
            occurred_at=recorded.occurred_at.astimezone(UTC),
            recorded_at=recorded.recorded_at.astimezone(UTC),
            data=registry.decode(known.name, known.version, payload),
        )
        self._unstored.append(read)
        fold(self._takers, [read])
        for name, slice_ in self._slices.items():
            if known.cls in slice_.handlers:
                self._frozen.pop(name, None)
                self._sizes[name] += len(payload) + SEAL_BYTES

    def stored(self) -> None:
        """What was decided is in the log now: a later load will bring it."""
        self._unstored.clear()

    def keep(self) -> None:
        """Put the states back for the next unit; called once the transaction is committed."""
        key_until = keystore.deadline(self._head.stream)
        if self._head.starts_at_version > 1 or key_until is None:
            return
        for name in self._slices:
            kept = KeptState(
                folded=self._builders[name],
                version=self._head.version,
                mac=bytes(self._head.mac),
                starts_at_version=self._head.starts_at_version,
                generation=self._generations[name],
                deadline=min(key_until, self._deadlines.get(name, key_until)),
                size=self._sizes[name],
            )
            kept_states.put_back(self._key(name), kept)

    def _read(self, types: Sequence[str]) -> Sequence[RecordedEvent]:
        return self._whole(types).events

    @collector_paused()
    def _whole(self, types: Sequence[str]) -> SizedEvents:
        if not self._head.version:
            return SizedEvents()
        return store.load_sized(self._head.stream, types=types, start=self._head.starts_at_version)

    def _begun(self, missing: Sequence[Slice[Any, Any]]) -> dict[str, Any]:
        """Builders up to the last stored event: kept ones with the events since, else folded
        from the first event on."""
        found: dict[str, Any] = {}
        behind: dict[tuple[int, bytes], list[tuple[Slice[Any, Any], KeptState]]] = {}
        for slice_ in missing:
            if (kept := self._kept(slice_)) is not None:
                behind.setdefault((kept.version, kept.mac), []).append((slice_, kept))
        for (version, mac), those in behind.items():
            fresh = {slice_.name: kept.folded for slice_, kept in those}
            slices = [slice_ for slice_, _ in those]
            if self._fold_since(version, mac, slices, fresh):
                found |= fresh
                for slice_, kept in those:
                    self._sizes[slice_.name] += kept.size
                    self._deadlines[slice_.name] = kept.deadline
        cold = [slice_ for slice_ in missing if slice_.name not in found]
        if cold:
            fresh = {slice_.name: slice_.initial() for slice_ in cold}
            self._fold(cold, fresh, self._whole(registry.names(takers_of(cold, fresh))))
            found |= fresh
        self._slices |= {slice_.name: slice_ for slice_ in missing}
        for slice_ in missing:
            self._sizes[slice_.name] += _size(slice_, self._unstored)
        return found

    def _kept(self, slice_: Slice[Any, Any]) -> KeptState | None:
        """A kept state, taken out, if this head may go on from it."""
        generation = self._generations[slice_.name] = generation_of(slice_)
        kept = kept_states.take(self._key(slice_.name))
        if kept is None or not self._warm:
            return None
        fits = (
            kept.starts_at_version == self._head.starts_at_version
            and kept.generation == generation
            and kept.version <= self._head.version
        )
        return kept if fits else None

    def _fold_since(
        self, version: int, mac: bytes, slices: Sequence[Slice[Any, Any]], builders: dict[str, Any]
    ) -> bool:
        """Bring kept builders up to the head; whether they stand on this log."""
        if version == self._head.version:
            events = SizedEvents() if mac == bytes(self._head.mac) else None
        else:
            types = registry.names(takers_of(slices, builders))
            events = store.load_since(self._head.stream, version, mac, types=types)
        if events is None:
            return False
        self._fold(slices, builders, events)
        return True

    def _fold(
        self,
        slices: Sequence[Slice[Any, Any]],
        builders: dict[str, Any],
        loaded: SizedEvents,
    ) -> None:
        fold(takers_of(slices, builders), loaded.events)
        for slice_ in slices:
            self._sizes[slice_.name] = loaded.size_of(slice_.handlers)

    def _key(self, name: str) -> StateKey:
        return connection.alias, self._head.stream, name


def _size(slice_: Slice[Any, Any], events: Iterable[RecordedEvent]) -> int:
    """The stored bytes of those events that a slice folds."""
    mine = (one.data for one in events if type(one.data) in slice_.handlers)
    return sum(len(registry.encode(one)) + SEAL_BYTES for one in mine)


class UnitStates:
    """The states of all clients of one unit."""

    def __init__(self, locks: Locks) -> None:
        self._locks = locks
        self._loaders: dict[UUID, LockedStates] = {}
        self._savepoints: dict[UUID, tuple[Any, ...]] = {}
        self._poisoned: set[UUID] = set()
        self._stale: set[UUID] = set()
        self._over = False

    def of(self, client_id: UUID) -> LockedStates:
        """The states of a client whose head is locked."""
        if self._over:
            raise RuntimeError("the unit of work is over: its locks are gone")
        if client_id not in self._loaders:
            head = self._locks.heads[client_id]
            self._loaders[client_id] = LockedStates(head, warm=client_id not in self._poisoned)
        return self._loaders[client_id]

    def entered(self, client_ids: Iterable[UUID]) -> None:
        """Clients are locked, or about to be changed, inside the savepoints open now."""
        now = tuple(connection.savepoint_ids)
        self._savepoints |= dict.fromkeys(client_ids, now)

    def settle(self) -> None:
        """Read the heads again of those whose events may not have been written."""
        self._poison_left()
        if self._stale:
            self._locks.renew_heads(self._stale)
            self.entered(self._stale)
            self._stale = set()

    def _poison_left(self) -> None:
        """A savepoint that is left may have been rolled back: poison what was done inside."""
        now = tuple(connection.savepoint_ids)
        for client_id, then in list(self._savepoints.items()):
            if now[: len(then)] != then:
                del self._savepoints[client_id]
                self.poison(client_id)

    @contextmanager
    def changing(self, client_ids: Sequence[UUID]) -> Iterator[None]:
        """Whatever ends the block early poisons these clients."""
        try:
            yield
        except BaseException:
            for client_id in client_ids:
                self.poison(client_id)
            raise

    def poison(self, client_id: UUID) -> None:
        """The states hold what may not be in the log: they are folded again when asked for."""
        self._loaders.pop(client_id, None)
        self._poisoned.add(client_id)
        self._stale.add(client_id)

    def close(self, client_id: UUID) -> None:
        """The record of a client was closed: nothing of it stays."""
        self._loaders.pop(client_id, None)
        kept_states.drop(connection.alias, client_id)

    def keep_on_commit(self) -> None:
        """At the end of the unit, inside its transaction: what is not poisoned is put back once
        the commit is known to be done."""
        self._poison_left()
        transaction.on_commit(self._keep, robust=True)

    def _keep(self) -> None:
        self._over = True  # The locks are gone, and the builders are the next unit's.
        loaders, self._loaders = self._loaders, {}
        for client_id, loader in loaders.items():
            if client_id not in self._poisoned:
                loader.keep()
