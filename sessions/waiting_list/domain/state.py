"""The waiting list of one client: for what they wait, and what they were offered. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from types import MappingProxyType
from typing import Any
from uuid import UUID

from practice.core.decisions import Slice
from practice.core.events import RecordedEvent
from practice.core.reasons import existing
from sessions.waiting_list.domain import events


class WaitingStatus(StrEnum):
    """Whether a client still waits, and how it ended."""

    WAITING = "waiting"
    BOOKED = "booked"
    WITHDRAWN = "withdrawn"


class OfferAnswer(StrEnum):
    """What became of an offer; a later offer replaces one that is open."""

    OPEN = "open"
    ACCEPTED = "accepted"
    DECLINED = "declined"
    REPLACED = "replaced"
    WITHDRAWN = "withdrawn"


@dataclass(frozen=True, slots=True)
class WaitingEntryState:
    """One entry of the list. ``offer`` is the one that is open, if one is."""

    id: UUID
    wanted: events.WantedTimes
    status: WaitingStatus = WaitingStatus.WAITING
    offer: events.WaitingOffered | None = None
    session_id: UUID | None = None


@dataclass(frozen=True, slots=True)
class WaitingState:
    """Every entry of a client, by id."""

    entries: Mapping[UUID, WaitingEntryState]

    def entry(self, waiting_id: UUID) -> WaitingEntryState:
        """One entry; raises Rejected 404 where the client has none with that id."""
        return existing(self.entries.get(waiting_id), "entry of the waiting list")


WaitingBuilder = dict[UUID, WaitingEntryState]


def _freeze(builder: WaitingBuilder) -> WaitingState:
    return WaitingState(MappingProxyType(dict(builder)))


WAITING: Slice[WaitingBuilder, WaitingState] = Slice(
    "waiting_list", initial=dict, freeze=_freeze, watches=(events,)
)


def _change(builder: WaitingBuilder, waiting_id: UUID, **changes: Any) -> None:
    if (entry := builder.get(waiting_id)) is not None:
        builder[waiting_id] = replace(entry, **changes)


@WAITING.on(events.WaitingAdded)
def added(builder: WaitingBuilder, event: events.WaitingAdded, meta: RecordedEvent) -> None:
    builder[event.waiting_id] = WaitingEntryState(event.waiting_id, event.wanted)


@WAITING.on(events.WaitingOffered)
def offered(builder: WaitingBuilder, event: events.WaitingOffered, meta: RecordedEvent) -> None:
    _change(builder, event.waiting_id, offer=event)


@WAITING.on(events.WaitingAccepted)
def accepted(builder: WaitingBuilder, event: events.WaitingAccepted, meta: RecordedEvent) -> None:
    status, session_id = WaitingStatus.BOOKED, event.session_id
    _change(builder, event.waiting_id, offer=None, status=status, session_id=session_id)


@WAITING.on(events.WaitingDeclined)
def declined(builder: WaitingBuilder, event: events.WaitingDeclined, meta: RecordedEvent) -> None:
    _change(builder, event.waiting_id, offer=None)


@WAITING.on(events.WaitingWithdrawn)
def withdrawn(builder: WaitingBuilder, event: events.WaitingWithdrawn, meta: RecordedEvent) -> None:
    _change(builder, event.waiting_id, offer=None, status=WaitingStatus.WITHDRAWN)
