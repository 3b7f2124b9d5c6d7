"""The identity slice: who the client is."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from clients.identity.domain import events
from practice.core.decisions import Slice
from practice.core.events import RecordedEvent


@dataclass(frozen=True, slots=True)
class Identity:
    """The client's details, or None before the client was registered.

    ``version``: of the client's stream, at the latest event folded here; 0 without one.
    """

    details: events.ClientDetails | None = None
    registered_at: datetime | None = None
    version: int = 0


class _Builder:
    def __init__(self) -> None:
        self.state = Identity()


IDENTITY: Slice[_Builder, Identity] = Slice(
    "identity", initial=_Builder, freeze=lambda builder: builder.state, watches=(events,)
)


@IDENTITY.on(events.ClientRegistered)
def registered(builder: _Builder, event: events.ClientRegistered, meta: RecordedEvent) -> None:
    builder.state = Identity(event.details, meta.recorded_at, meta.version)


@IDENTITY.on(events.ClientDetailsChanged)
def details_changed(
    builder: _Builder, event: events.ClientDetailsChanged, meta: RecordedEvent
) -> None:
    builder.state = Identity(event.details, builder.state.registered_at, meta.version)
