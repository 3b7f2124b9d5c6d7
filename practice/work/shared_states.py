"""The states of a client for reads: what was frozen once serves every read of the process that
finds the head at the same version with the same mac.

A read takes no builder and no lock. It reads the head, and what is not shared yet it folds up to
the head's version, whatever was appended meanwhile, so that all its slices stand at one place.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from contextlib import closing
from typing import Any, NamedTuple
from uuid import UUID

from django.db import connection
from django.db.models import QuerySet

from practice.core.collector import collector_paused
from practice.core.decisions import Slice, States
from practice.core.events import Event, registry
from practice.core.reasons import existing
from practice.eventstore import reading
from practice.eventstore.envelope import SizedEvents
from practice.eventstore.models import StreamHead
from practice.keys.keystore import keystore
from practice.work.kept_queries import KeptQuery
from practice.work.kept_states import KeptState, StateKey, generation_of, kept_states
from practice.work.state_loader import fold, takers_of

FROZEN = "frozen"


class SeenHead(NamedTuple):
    """Where a stream stood when a read began; nobody holds it there."""

    version: int
    mac: bytes
    starts_at_version: int


def _heads(stream: UUID) -> QuerySet[Any, Any]:
    heads = StreamHead.objects.filter(stream=stream)
    return heads.values_list("version", "mac", "starts_at_version")


_HEAD = KeptQuery(_heads)


class SharedStates:
    """The frozen states of one client that a read has needed so far, all of one version."""

    def __init__(self, client_id: UUID) -> None:
        self._stream = client_id
        self._head: SeenHead | None = None
        self._frozen: dict[str, Any] = {}

    def require(self, slices: Iterable[Slice[Any, Any]]) -> States:
        """The states of some slices, loading those that nobody shares in one query. Raises
        Rejected 404 for a client that does not exist."""
        wanted = {slice_.name: slice_ for slice_ in slices}
        missing = [slice_ for name, slice_ in wanted.items() if name not in self._frozen]
        if missing:
            head = self._head = self._head or self._seen()
            cold = [slice_ for slice_ in missing if not self._is_shared(slice_, head)]
            if cold:
                self._fold(cold, head)
        return States({name: self._frozen[name] for name in wanted})

    def _seen(self) -> SeenHead:
        version, mac, start = existing(next(iter(_HEAD.rows(stream=self._stream)), None), "client")
        return SeenHead(version, bytes(mac), start)

    def _is_shared(self, slice_: Slice[Any, Any], head: SeenHead) -> bool:
        """Whether the state was frozen before upon this very log; then it is taken."""
        kept = kept_states.look(self._key(slice_))
        if (
            kept is None
            or (kept.version, kept.mac, kept.starts_at_version) != head
            or kept.generation != generation_of(slice_)
        ):
            return False
        self._frozen[slice_.name] = kept.folded
        return True

    @collector_paused()
    def _fold(self, slices: Sequence[Slice[Any, Any]], head: SeenHead) -> None:
        builders = {slice_.name: slice_.initial() for slice_ in slices}
        takers = takers_of(slices, builders)
        sizes: Counter[type[Event]] = Counter()
        mac, names = b"", registry.names(takers)
        with closing(
            reading.load_until(
                self._stream, head.version, types=names, start=head.starts_at_version
            )
        ) as parts:
            for loaded, last in parts:
                mac = last
                fold(takers, loaded.events)
                sizes.update(loaded.sizes)
        for slice_ in slices:
            self._frozen[slice_.name] = slice_.freeze(builders[slice_.name])
        if mac == head.mac:
            self._share(slices, head, SizedEvents((), sizes))

    def _share(
        self, slices: Sequence[Slice[Any, Any]], head: SeenHead, loaded: SizedEvents
    ) -> None:
        """Keep what was frozen, unless the key is gone or the record was closed."""
        deadline = keystore.deadline(self._stream)
        if deadline is None or head.starts_at_version > 1:
            return
        for slice_ in slices:
            kept = KeptState(
                folded=self._frozen[slice_.name],
                version=head.version,
                mac=head.mac,
                starts_at_version=head.starts_at_version,
                generation=generation_of(slice_),
                deadline=deadline,
                size=loaded.size_of(slice_.handlers),
            )
            kept_states.put_back(self._key(slice_), kept)

    def _key(self, slice_: Slice[Any, Any]) -> StateKey:
        return connection.alias, self._stream, slice_.name, FROZEN
