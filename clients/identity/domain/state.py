"""The identity slice: who the client is."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from clients.identity.domain.events import ClientDetails, ClientDetailsChanged, ClientRegistered
from practice.core.decisions import Slice
from practice.core.events import RecordedEvent


@dataclass(frozen=True, slots=True)
class Identity:
    """Her details, or None before she was registered."""

    details: ClientDetails | None = None
    registered_at: datetime | None = None


class _Builder:
    def __init__(self) -> None:
        self.state = Identity()


def _evolve(builder: _Builder, recorded: RecordedEvent) -> None:
    match recorded.data:
        case ClientRegistered(details=details):
            builder.state = Identity(details, recorded.recorded_at)
        case ClientDetailsChanged(details=details):
            builder.state = Identity(details, builder.state.registered_at)


IDENTITY: Slice[_Builder, Identity] = Slice(
    name="identity",
    folds=(ClientRegistered, ClientDetailsChanged),
    initial=_Builder,
    evolve=_evolve,
    freeze=lambda builder: builder.state,
)
