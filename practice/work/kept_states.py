"""Folded states of clients that stay in this process between two units of work, or two reads.

Each stands for the log up to one version, told by that version's mac: version numbers repeat
after a restored backup, macs do not. A builder is given out once, to the unit that holds the
lock, and comes back after the commit; a frozen state is for every read that finds the head where
it stands. Either lies in memory as long as the data key with which its events were opened: use
does not prolong that, and a timer drops what nobody asks for.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.conf import settings

from practice.core.decisions import Slice
from practice.core.events import registry
from practice.keys.cache import KeyCache
from practice.keys.keystore import keystore

SWEEP_SECONDS = 10
StateKey = tuple[str, UUID, str] | tuple[str, UUID, str, str]
"""Alias of the database, stream, name of the slice; a fourth word for a frozen state."""


@dataclass(frozen=True, slots=True)
class KeptState:
    """A builder, or a frozen state, and what it stands for.

    ``size``: stored bytes of the events in it. ``deadline``: of the monotonic clock.
    """

    folded: Any
    version: int
    mac: bytes
    starts_at_version: int
    generation: tuple[Any, ...]
    deadline: float
    size: int


def generation_of(slice_: Slice[Any, Any]) -> tuple[Any, ...]:
    """What a folded builder depends on beside the log: the types that this program knows, how
    those of the slice are read, and the handlers."""
    types = [registry.by_class[cls] for cls in slice_.handlers]
    return (
        tuple(registry.by_name),
        tuple((one.name, one.version, *one.upcasters.items()) for one in types),
        tuple(slice_.handlers.items()),
        slice_.initial,
    )


class KeptStates(KeyCache):
    """Kept states, the least used dropped first beyond ``KEPT_STATES_BYTES``."""

    def __init__(self, **options: Any) -> None:
        super().__init__(SWEEP_SECONDS, **options)
        self.size = 0

    def take(self, key: StateKey) -> KeptState | None:
        """Take a state out; None where there is none or its time is over."""
        with self._lock:
            if key not in self._held:
                return None
            kept: KeptState = self._remove(key)
        return kept if kept.deadline > self._now() else None

    def look(self, key: StateKey) -> KeptState | None:
        """A state that stays where it is; None where there is none or its time is over."""
        with self._lock:
            kept: KeptState | None = self.get(key)
            if kept is not None:
                self._held[key] = self._held.pop(key)  # The least used comes first.
        return kept

    def put_back(self, key: StateKey, kept: KeptState) -> None:
        """Keep a state until its deadline, unless a newer one came meanwhile."""
        with self._lock:
            if key in self._held:
                if self._held[key][1].version > kept.version:
                    return
                self._remove(key)
            self._held[key] = (kept.deadline, kept)
            self.size += kept.size
            while self.size > settings.KEPT_STATES_BYTES:
                self._remove(next(iter(self._held)))
            self._wait()

    def drop(self, alias: str, stream: UUID) -> None:
        """Drop all states of a stream."""
        with self._lock:
            for key in [one for one in self._held if one[:2] == (alias, stream)]:  # type: ignore[index]
                self._remove(key)

    def clear(self) -> None:
        """Keep nothing."""
        with self._lock:
            self._held.clear()
            self.size = 0

    def _remove(self, name: Any) -> Any:
        kept = super()._remove(name)
        self.size -= kept.size
        return kept


kept_states = KeptStates()
keystore.on_forgetting.append(kept_states.clear)
